"""What a notebook may use while it runs."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Limits:
    """The limits on one notebook.

    Parameters
    ----------
    cell_seconds : float
        Of computing, for one cell [s].
    notebook_seconds : float
        Of computing, for a whole notebook [s].
    patience : float
        How many times as long both may take by the clock: a machine that is busy with other things
        costs nobody marks [1].
    memory : int
        That one process may address, and all together may fill [byte].
    processes : int
        At one time, threads included [1].
    output : int
        Of what cells show, all together [byte].
    file : int
        That one file, and all temporary files together, may hold [byte].
    """

    cell_seconds: float = 30.0
    notebook_seconds: float = 90.0
    patience: float = 4.0
    memory: int = 2_000_000_000
    processes: int = 64
    output: int = 3_000_000
    file: int = 50_000_000
