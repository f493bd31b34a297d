"""Field records: what happened to every anchor of the wall, kept as facts."""
