"""The section as the editor: to scale, with what can be dragged, and the diagrams beside it."""
