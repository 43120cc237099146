"""nbgrader's settings, with which `bandwork mark` opens the marking pages of a class."""

import os
from pathlib import Path

from bandwork.classroom.notebooks import course_config
from bandwork.classroom.plugins import FOLDER_VARIABLE

root = Path(__file__).resolve().parent
c = get_config()  # noqa: F821 - nbgrader provides it
c.merge(course_config(root, Path(os.environ.get(FOLDER_VARIABLE, root / ".course"))))
c.ContentsManager.allow_hidden = True
