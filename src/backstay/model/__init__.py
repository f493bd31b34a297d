"""The project file: what it may say, and how it is read and written."""
