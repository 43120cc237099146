"""The tests, a package of their own: some libraries install a `tests` of theirs."""
