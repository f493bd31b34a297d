"""The field of a wall in the workbench: register, anchors one by one, readings, papers.

What is shown comes from the field records, and what a person enters goes into them, by the same code as
of the commands (`backstay.fieldbook`, `backstay.report.field`); nothing is worked out here. Records are
opened for each operation and in a thread. Who reads sees everything and may make papers; who records
may record what happened and bring readings in; a verdict is signed by who designs, as the engineer.
"""
