"""A result with its doubt: the lowest, the best and the highest value that the inputs allow."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from bandwork.validation import InputError, shown, single, within

_MOST = 1e100


@dataclass(frozen=True)
class Interval:
    """A best value between a low and a high one, all in the same unit.

    Parameters
    ----------
    low, best, high : float
        In ascending order [any one unit], up to 1e100 either way; equal values are allowed.

    Raises
    ------
    InputError
        If the three are not single finite numbers in ascending order.
    """

    low: float
    best: float
    high: float

    def __post_init__(self) -> None:
        for name in ("low", "best", "high"):
            object.__setattr__(self, name, single(name, getattr(self, name), -_MOST, _MOST, ""))
        if not self.low <= self.best <= self.high:
            raise InputError(f"The interval {self.low:g}, {self.best:g}, {self.high:g} is not in "
                             "ascending order; give low, best, high.")

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high

    def map(self, function: Callable[[float], float]) -> "Interval":
        """Return the interval of `function`, which must rise or fall throughout.

        Parameters
        ----------
        function : callable
            float -> float, monotonic between low and high.

        Returns
        -------
        Interval
            In the unit of what `function` returns [that unit].

        Raises
        ------
        InputError
            If `function` turns back between the ends, so that its best lies outside them.
        """
        ends = function(self.low), function(self.high)
        return Interval(min(ends), function(self.best), max(ends))


def combine(best: float, ends: dict[str, tuple[float, float]]) -> Interval:
    """Return the interval of a result whose inputs are uncertain independently of each other.

    Each input has moved the result alone, to a low and a high end. The distances from `best`
    are added as squares on each side (root-sum-square), which is right for independent inputs
    and a result that is nearly linear in each.

    Parameters
    ----------
    best : float
        The result with every input at its best value [any unit].
    ends : dict of str to (float, float)
        For each input, the result at either end of that input's range, in any order [unit of
        `best`].

    Returns
    -------
    Interval
        Low, best and high [unit of `best`].

    Raises
    ------
    InputError
        If a value is not a finite number, or an input has not two ends.

    Examples
    --------
    >>> combine(100.0, {"a": (97.0, 103.0), "b": (96.0, 104.0)})
    Interval(low=95.0, best=100.0, high=105.0)
    """
    best = single("best", best, -_MOST, _MOST, "")
    below = above = 0.0
    for name, pair in ends.items():
        moved = np.asarray(within(name, pair, -_MOST, _MOST, "")) - best
        if moved.shape != (2,):
            raise InputError(f"{name} is {shown(pair)}; give the result at its low and at its high "
                             "end, two numbers.")
        below += max(0.0, -moved.min()) ** 2
        above += max(0.0, moved.max()) ** 2
    return Interval(best - below**0.5, best, best + above**0.5)
