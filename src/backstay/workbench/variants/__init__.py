"""Variants of a project: copies of it that are kept, and two of them side by side."""
