"""Writing the site: switched in whole, links checked, unchanged files kept."""
