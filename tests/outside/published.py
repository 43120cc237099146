"""One published value, and the comparison with ours that all units share."""

from collections.abc import Callable
from typing import NamedTuple

import pytest
from bandwork.handbook import OBTAINED


class Check(NamedTuple):
    """What is compared with which source; `obtained` is a word of `bandwork.handbook.OBTAINED`.

    Without a tolerance ours must round to the number as its source prints it.
    """

    what: str
    ours: Callable[[], float]
    printed: str
    source: str
    place: str
    obtained: str
    tolerance: float | None = None

    @property
    def allowed(self) -> float:
        """Difference that passes: half of the last printed digit unless a tolerance is given."""
        if self.tolerance is not None:
            return self.tolerance
        figures, _, power = self.printed.partition("e")
        return 0.5000001 * 10.0 ** (-len(figures.partition(".")[2]) + int(power or 0))

    def compare(self) -> None:
        """Fail unless ours is the published value."""
        assert self.source
        assert self.place
        assert self.obtained in OBTAINED
        assert self.ours() == pytest.approx(float(self.printed), abs=self.allowed, rel=0), (
            f"{self.source}, {self.place}, {OBTAINED[self.obtained]}")
