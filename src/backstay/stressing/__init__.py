"""At the jack: load tests of anchors, what they are judged by, and what they teach.

Every anchor is loaded beyond its design load before it is locked off, and is accepted or not on
what its head then does: how far it moves, how far it comes back, and how it creeps while the load
is held. This room knows the tests (which loads, how long, when to read), corrects what was read by
the calibration of jack and gauge, judges a test by the rules of a practice with each clause, and
says what the rules allow next. It knows no file and no database: it takes a `TestRecord` and gives
a judgement, at any moment of the test.
"""
