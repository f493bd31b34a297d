"""The workbench: a project on screen, in the browser of the engineer's own machine.

One `ProjectFile` is shared by all windows that show a project: its text is the truth, each change is a
step that can be undone, and nothing is written to disk until it is saved. `LiveDesign` designs the text
as it stands, at once without slip surfaces and a moment later with them. A `Desk` is what one window
looks at. The pages show what `design(project)`, `stressing` and `records` found; they compute nothing.
`access` decides who may come in and do what; `serve` starts it all on the loopback address.
"""
