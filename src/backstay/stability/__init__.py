"""The room of stability."""
