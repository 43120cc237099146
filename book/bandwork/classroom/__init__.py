"""The classroom: it builds the book, hands out the exercises, grades them and reports."""
