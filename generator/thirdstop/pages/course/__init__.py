"""The course: questions that are made from what was computed of the book's own recipes."""
