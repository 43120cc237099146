"""What a notebook may use while it runs."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Limits:
    """The limits on one notebook.

    Parameters
    ----------
    cell_seconds : float
        That one cell may run [s].
    notebook_seconds : float
        That a whole notebook may run [s].
    memory : int
        That one process may address, and all together may fill [byte].
    processes : int
        At one time, threads included [1].
    output : int
        Of what cells show, all together [byte].
    file : int
        That one file, and all temporary files together, may hold [byte].
    """

    cell_seconds: float = 60.0
    notebook_seconds: float = 180.0
    memory: int = 2_000_000_000
    processes: int = 64
    output: int = 3_000_000
    file: int = 50_000_000
