"""Kernels for the pages that start at once: forks of a process that has imported what pages need.

Only on Linux, where a process with numpy in it can be forked safely. The process imports this file
again in each fork, so it imports little itself.
"""

import gc
import multiprocessing
import os
import sys
from typing import Any

from jupyter_client import AsyncKernelManager
from jupyter_client.provisioning.local_provisioner import LocalProvisioner

FORKS = multiprocessing.get_context("forkserver") if sys.platform == "linux" else None
PRELOADED = [
    "ipykernel.ipkernel", "ipykernel.kernelapp", "ipykernel.zmqshell", "matplotlib.pyplot",
    "myst_nb.ext.glue", "scipy.integrate", "scipy.optimize", "scipy.stats", "sympy",
    "bandwork.choice", "bandwork.doubt",
]


def get_ready_to_fork() -> None:
    """Start the process that forks, told as a kernel is that pictures go onto the page."""
    from multiprocessing import forkserver

    FORKS.set_forkserver_preload(PRELOADED)
    os.environ["MPLBACKEND"] = "module://matplotlib_inline.backend_inline"
    forkserver.ensure_running()
    del os.environ["MPLBACKEND"]


class ForkedKernel(AsyncKernelManager):
    """Jupyter's kernel as a fork of a process that has imported what pages need."""

    async def _async_pre_start_kernel(self, **options: Any) -> Any:
        self.provisioner = Fork(
            kernel_id=self.kernel_id, kernel_spec=self.kernel_spec, parent=self
        )
        return await super()._async_pre_start_kernel(**options)


class Fork(LocalProvisioner):
    """Starts a kernel by forking in place of running a command."""

    async def launch_kernel(self, cmd: list[str], **options: Any) -> dict[str, Any]:
        """Start it and return how to reach it."""
        process = FORKS.Process(
            target=become_kernel, args=(cmd, options["env"], options["cwd"]), daemon=True
        )
        process.start()
        self.process, self.pid = AsPopen(process), process.pid
        return self.connection_info


class AsPopen:
    """A process of multiprocessing with the names that subprocess gives."""

    stdout = stderr = stdin = None

    def __init__(self, process: multiprocessing.process.BaseProcess):
        self.kill, self.terminate, self._process = process.kill, process.terminate, process

    def poll(self) -> int | None:
        """Return the exit code, None while it runs."""
        return self._process.exitcode

    def wait(self) -> int | None:
        """Return the exit code when it has ended."""
        self._process.join()
        return self._process.exitcode

    def send_signal(self, number: int) -> None:
        """Send it a signal."""
        os.kill(self._process.pid, number)


def become_kernel(command: list[str], environment: dict[str, str], folder: str) -> None:
    """Run Jupyter's kernel in this process, as its command would in another."""
    os.environ.update(environment)
    os.chdir(folder)
    sys.path.insert(0, "")
    gc.freeze()  # what was imported before is no garbage, and need not be looked through
    from ipykernel.kernelapp import launch_new_instance

    parent = f"--IPKernelApp.parent_handle={os.getppid()}"
    launch_new_instance(argv=[*command[command.index("-f"):], parent])
