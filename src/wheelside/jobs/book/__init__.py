"""The book: opened, looked up, corrected; garage files and readings in and out."""
