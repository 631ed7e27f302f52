"""The book as it is being written: pages that follow the files, shown to this machine alone."""
