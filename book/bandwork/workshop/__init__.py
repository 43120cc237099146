"""The workshop bench: set-ups as files, worked out, compared, measured and printed by commands."""
