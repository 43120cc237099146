"""How long each command of the bench takes to start: `python -m tests.workshop.benchmark`.

Seconds of the processor are the figure to hold against the target, as other programs that share
the machine do not change them; the clock's are what you would wait for just now.
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from bandwork.workshop.blank import template

from tests.workshop.test_start import names

MOST = 0.7
READ = ("import sys\nfrom bandwork.workshop.files import read_gun\nread_gun(sys.argv[1])")


def took(*command):
    """Return the best of three: seconds of the processor and of the clock."""
    best = [float("inf")] * 2
    for _ in range(3):
        before, clock = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
        subprocess.run([sys.executable, *command], check=True, capture_output=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        best = [min(best[0], after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime),
                min(best[1], time.perf_counter() - clock)]
    return best


def main():
    """Print what each start takes, and return 0 if all of them reach the target."""
    print(f"load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
    slowest = 0.0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "gun.toml"
        path.write_text(template(), encoding="utf-8")
        starts = {f"{name} --help": ("-m", "bandwork.cli", name, "--help") for name in names()}
        starts["reading a set-up"] = ("-c", READ, str(path))
        for label, command in starts.items():
            of_processor, of_clock = took(*command)
            slowest = max(slowest, of_processor)
            print(f"{label:28}{of_processor:6.2f} s of the processor, "
                  f"{of_clock:.2f} s of the clock")
        work = {"predict": (), "predict --quick": ("--quick",)}
        for label, more in work.items():
            of_processor, of_clock = took("-m", "bandwork.cli", "predict", str(path), *more)
            print(f"{label + ', whole':28}{of_processor:6.2f} s of the processor, "
                  f"{of_clock:.2f} s of the clock")
    print(f"slowest start {slowest:.2f} s; wanted below {MOST}")
    return 0 if slowest < MOST else 1


if __name__ == "__main__":
    sys.exit(main())
