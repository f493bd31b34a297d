"""The panel of anchors: the schedule as a table that is edited by keyboard and pasted into.

- `columns`: what stands in it: values of the project file, and what follows from them.
- `grid`: the cells of a table as they stand, and as markup.
- `block`: text of a spreadsheet as cells.
- `edits`: what was typed or pasted, as changes of the project file or as what is wrong with it.
- `panel`: what a person sees and touches.
"""
