"""Results kept under what they depend on, so that nothing is run twice."""

import hashlib
import json
import sys
from dataclasses import asdict
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

import bandwork
from bandwork.classroom.engine.limits import Limits
from bandwork.writing import write_whole

FOLDER = "executed"
"""In the class's folder."""
DEPENDS_ON = ("numpy", "scipy", "gsw", "matplotlib", "matplotlib-inline", "ipython", "nbformat")


@cache
def library() -> str:
    """Return a hash of this library, of what it needs and of Python."""
    found = hashlib.sha256(repr((sys.version, [version(name) for name in DEPENDS_ON])).encode())
    place = Path(bandwork.__file__).parent
    for path in sorted(place.rglob("*")):
        if path.is_file() and "__pycache__" not in path.parts:
            found.update(str(path.relative_to(place)).encode() + b"\0" + path.read_bytes())
    return found.hexdigest()


class Store:
    """What was executed and scored of one exercise of a class.

    Parameters
    ----------
    folder : Path
        The class.
    unit : str
        Which exercise.
    """

    def __init__(self, folder: Path, unit: str) -> None:
        self._runs = folder / FOLDER / unit / "runs"
        self._scored = folder / FOLDER / unit / "scored"
        for place in (self._runs, self._scored):
            place.mkdir(parents=True, exist_ok=True)
        self._used: set[str] = set()

    def key(self, notebook: bytes, limits: Limits, *, trust: bool) -> str:
        """Return what a run is kept under: input, release, library, limits, boxed or not."""
        about = json.dumps([library(), asdict(limits), trust]).encode()
        found = hashlib.sha256(about + notebook).hexdigest()
        self._used.add(found)
        return found

    def has(self, key: str) -> bool:
        """Return whether a run is kept."""
        return (self._runs / f"{key}.ipynb").exists()

    def __len__(self) -> int:
        """Return how many runs are kept."""
        return sum(1 for _ in self._runs.glob("*.ipynb"))

    def run(self, key: str) -> bytes | None:
        """Return an executed notebook, None if there is none."""
        path = self._runs / f"{key}.ipynb"
        return path.read_bytes() if path.exists() else None

    def keep_run(self, key: str, executed: bytes) -> None:
        """Keep an executed notebook."""
        write_whole(self._runs / f"{key}.ipynb", executed.decode())

    def scored(self, learner: str) -> dict[str, Any]:
        """Return what was kept when a learner was scored; empty if nothing was."""
        try:
            return json.loads(self._place(learner).read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return {}

    def keep_scored(self, learner: str, what: dict[str, Any]) -> None:
        """Keep what belongs to a learner's scores."""
        write_whole(self._place(learner), json.dumps(what))

    def forget(self, learner: str) -> None:
        """Forget a learner's run and scores, so that both are made anew."""
        run = self.scored(learner).get("run")
        if run:
            (self._runs / f"{run}.ipynb").unlink(missing_ok=True)
        self._place(learner).unlink(missing_ok=True)

    def _place(self, learner: str) -> Path:
        return self._scored / f"{hashlib.sha256(learner.encode()).hexdigest()}.json"

    def tidy(self) -> None:
        """Remove the runs that no submission stands for any more, and what a killed run left."""
        for path in (*self._runs.iterdir(), *self._scored.iterdir()):
            if path.name.startswith(".") or (path.parent == self._runs
                                             and path.stem not in self._used):
                path.unlink()
