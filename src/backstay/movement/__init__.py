"""The room of movement."""
