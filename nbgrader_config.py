"""nbgrader's settings, so that `nbgrader formgrader` in this folder opens the demo class."""

from pathlib import Path

from bandwork.classroom.notebooks import course_config

c = get_config()  # noqa: F821 - nbgrader provides it
c.merge(course_config(Path(__file__).resolve().parent, Path(__file__).resolve().parent / ".course"))
c.ContentsManager.allow_hidden = True
