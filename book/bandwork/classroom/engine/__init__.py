"""Grading learners' code: taken in, put right, run in a box, judged outside of it, scored, kept.

A submission goes through `intake` (is it the right notebook, whole, of sane size), `sanitise` (the
instructor's cells put back), `execute` (run in a `box`, judged outside), `store` (kept by what it
depends on) and `score` (into nbgrader's gradebook). What is secured and how is told in `execute`
and in the book's page *Security*.
"""
