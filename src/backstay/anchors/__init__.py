"""The room of anchors."""
