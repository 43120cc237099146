"""Results of the pages' code: computed where what they depend on has changed, and nowhere else.

Jupyter Book keeps results by a page's code alone. Here each is kept with a hash of the library's
files that the page imports, and the page runs anew when that differs. What has to run does so
before the pages are read, on all processors, each page in a kernel of its own.
"""

import os
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor, as_completed
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory

from bandwork.classroom.computed import computing_files, computing_key
from bandwork_kernels import FORKS, ForkedKernel, get_ready_to_fork
from IPython.core.inputtransformer2 import TransformerManager
from jupyter_cache import get_cache
from jupyter_cache.base import CacheBundleIn
from jupyter_client import AsyncKernelManager
from myst_nb.core.read import create_nb_reader
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError, CellTimeoutError
from nbformat import NotebookNode
from sphinx.application import Sphinx
from sphinx.config import Config
from sphinx.environment import BuildEnvironment
from sphinx.util import logging

logger = logging.getLogger(__name__)

def keep_results(app: Sphinx, config: Config) -> None:
    """Keep results beside the built pages."""
    config.nb_execution_cache_path = str(Path(app.outdir).parent / "results")


def changed_by_its_files(
    app: Sphinx, env: BuildEnvironment, added: set[str], changed: set[str], removed: set[str]
) -> list[str]:
    """Return the pages whose files are no longer what they were when the page was read."""
    root = Path(app.srcdir).parent
    return [
        page
        for page, (files, key) in getattr(env, "bandwork_computed_with", {}).items()
        if computing_key(files, root) != key
    ]


def run_what_has_changed(app: Sphinx, env: BuildEnvironment, pages: list[str]) -> None:
    """Run the code of pages that are about to be read, unless its result is kept."""
    root = Path(app.srcdir).parent
    cache = get_cache(app.config.nb_execution_cache_path)
    known = getattr(env, "bandwork_computed_with", {})
    env.bandwork_computed_with = {page: known[page] for page in known if page in env.found_docs}
    ahead: dict[str, NotebookNode] = {}
    for page in pages:
        path = Path(env.doc2path(page))
        text = path.read_text(encoding="utf-8")
        reader = create_nb_reader(str(path), env.myst_config, env.mystnb_config, text)
        env.bandwork_computed_with.pop(page, None)
        if reader is None:
            continue
        notebook = reader.read(text)
        files = _depends_on(notebook, root)
        key = computing_key(files, root)
        env.bandwork_computed_with[page] = files, key
        with suppress(KeyError):
            kept = cache.match_cache_notebook(notebook)
            if kept.data.get("computed_with") == key:
                continue
            cache.remove_cache(kept.pk)
        ahead[page] = notebook
    for number, (page, seconds) in enumerate(_run_all(ahead, env), 1):
        logger.info(f"code {number} of {len(ahead)}: {page}")
        if seconds is not None:
            about = {"execution_seconds": seconds,
                     "computed_with": env.bandwork_computed_with[page][1]}
            cache.cache_notebook_bundle(
                CacheBundleIn(ahead[page], env.doc2path(page), data=about),
                check_validity=False,
                overwrite=True,
            )


def _depends_on(notebook: NotebookNode, root: Path) -> list[Path]:
    plain = TransformerManager().transform_cell
    cells = (plain(cell.source) for cell in notebook.cells if cell.cell_type == "code")
    return sorted({path for cell in cells for path in computing_files(cell, root)})


def _run_all(
    notebooks: dict[str, NotebookNode], env: BuildEnvironment
) -> Iterator[tuple[str, float | None]]:
    """Run notebooks in place; yield each one's page and seconds, None for one that fails.

    A page that fails runs once more when it is read, by what reports it.
    """
    if notebooks and FORKS:
        get_ready_to_fork()

    with TemporaryDirectory() as sockets, ThreadPoolExecutor(os.cpu_count()) as pool:

        def run(number: int, page: str) -> float | None:
            named = notebooks[page].metadata.get("kernelspec", {}).get("name", "python3")
            client = NotebookClient(
                notebooks[page],
                km=ForkedKernel(kernel_name=named, transport="ipc", ip=f"{sockets}/{number}")
                if FORKS
                else AsyncKernelManager(kernel_name=named),
                timeout=env.mystnb_config.execution_timeout,
                resources={"metadata": {"path": str(Path(env.doc2path(page)).parent)}},
                shutdown_kernel="immediate",
                record_timing=False,
            )
            start = time.monotonic()
            try:
                client.execute(cleanup_kc=True)
            except (CellExecutionError, CellTimeoutError, RuntimeError):
                return None
            return time.monotonic() - start

        running = {pool.submit(run, *one): one[1] for one in enumerate(notebooks)}
        for done in as_completed(running):
            yield running[done], done.result()


def setup(app: Sphinx) -> dict[str, object]:
    """Register the extension with Sphinx."""
    app.connect("config-inited", keep_results)
    app.connect("env-get-outdated", changed_by_its_files)
    app.connect("env-before-read-docs", run_what_has_changed)
    return {"version": "1", "parallel_read_safe": False, "parallel_write_safe": True}
