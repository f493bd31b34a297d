"""The room of pressure."""
