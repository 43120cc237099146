"""Grading on the workers of a dask scheduler: the same gradebook, whatever is lost meanwhile."""

import contextlib
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import nbformat
import pytest
from bandwork import InputError
from bandwork.classroom import demo, grading
from bandwork.classroom.engine import cluster as clusters
from bandwork.classroom.engine.limits import Limits
from bandwork.classroom.engine.worker import Worker
from bandwork.classroom.notebooks import open_class
from bandwork.cli import main

from tests.classroom import hostile
from tests.classroom.conftest import ROOT, grade
from tests.classroom.grading_benchmark import planned

UNIT = "warmup"
COUNT = 10


def quiet(line):
    """Take a line of progress."""


def of_boxes(name):
    """Return our processes that were started with this mark in their environment."""
    found = []
    for path in Path("/proc").glob("[0-9]*/environ"):
        with contextlib.suppress(OSError):
            if (f"OF_A_CLUSTER={name}".encode() in path.read_bytes()
                    and b"bandwork.classroom.engine" in (path.parent / "cmdline").read_bytes()):
                found.append(path.parent.name)
    return found


def workers(count, **more):
    """Return a cluster that has them on this machine, as processes unless told otherwise."""
    from distributed import LocalCluster

    return LocalCluster(n_workers=count, threads_per_worker=1, dashboard_address="127.0.0.1:0",
                        **more)


@pytest.fixture(scope="module")
def local(tmp_path_factory):
    """A class with all that may be handed in, and what this machine alone makes of it."""
    folder = tmp_path_factory.mktemp("class")
    for number in range(COUNT):
        name, text = planned(UNIT, number)
        hostile.write(folder / "submitted" / name / UNIT, text)
    made = json.loads(nbformat.writes(demo.fill(ROOT, UNIT, demo.Learner("quits"))))
    made["cells"][-1] = nbformat.v4.new_code_cell("import os; os._exit(0)")
    hostile.write(folder / "submitted" / "quits" / UNIT, json.dumps(made))
    hostile.write(folder / "submitted" / "damaged" / UNIT, "{")
    open_class(ROOT, folder, UNIT)
    fresh = folder.with_name("fresh")
    shutil.copytree(folder, fresh)
    return {"fresh": fresh, "result": grade(ROOT, folder, UNIT, progress=quiet, jobs=2)}


@pytest.fixture
def folder(local, tmp_path):
    shutil.copytree(local["fresh"], tmp_path / "class")
    return tmp_path / "class"


@pytest.fixture(scope="module")
def cluster():
    """Two workers, each a process; nothing of theirs may be left in the end."""
    name = f"{os.getpid()}-{time.time()}"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("OF_A_CLUSTER", name)
        with workers(2) as one:
            yield one
            at_work = of_boxes(name)
    assert at_work
    until = time.monotonic() + 10
    while of_boxes(name) and time.monotonic() < until:
        time.sleep(0.1)
    assert of_boxes(name) == []


@pytest.mark.long
def test_a_cluster_gives_the_same_gradebook(local, folder, cluster, monkeypatch):
    monkeypatch.setattr(Worker, "run", lambda *_: pytest.fail("run on this machine"))
    result = grade(ROOT, folder, UNIT, progress=quiet, scheduler=cluster.scheduler_address)
    assert result.results == local["result"].results
    assert len({one.score for one in result.results}) > 2


@pytest.mark.long
def test_what_a_lost_worker_had_is_run_by_another(local, folder, cluster):
    from distributed import Client

    with Client(cluster.scheduler_address, set_as_default=False) as client:
        pids = client.run(os.getpid)
    said = []

    def kill_one(line):
        said.append(line)
        if len(said) == 3:
            os.kill(min(pids.values()), signal.SIGKILL)

    result = grade(ROOT, folder, UNIT, progress=kill_one, scheduler=cluster.scheduler_address)
    assert result.results == local["result"].results
    with Client(cluster.scheduler_address, set_as_default=False) as client:
        client.wait_for_workers(2, timeout=30)
        assert set(client.run(os.getpid).values()) != set(pids.values())


@pytest.mark.long
def test_another_release_is_refused(folder, cluster, monkeypatch):
    monkeypatch.setattr(clusters, "library", lambda: "of another release")
    with pytest.raises(InputError, match=r"worker tcp://\S+ has another release.*What is done is"):
        grade(ROOT, folder, UNIT, progress=quiet, scheduler=cluster.scheduler_address)


@pytest.mark.long
def test_after_a_lost_scheduler_it_goes_on_where_it_was(local, folder, monkeypatch):
    with socket.create_server(("127.0.0.1", 0)) as free:
        address = f"tcp://127.0.0.1:{free.getsockname()[1]}"
    started = [subprocess.Popen([sys.executable, "-W", "ignore", "-m", "distributed.cli.dask_spec",
                                 "--spec", json.dumps(spec), *where],
                                stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
               for spec, where in (
                   ({"cls": "distributed.Scheduler", "opts": {
                       "host": "127.0.0.1", "port": int(address.rpartition(":")[2]),
                       "dashboard": False, "dashboard_address": "127.0.0.1:0"}}, []),
                   ({"cls": "distributed.Worker", "opts": {
                       "nthreads": 1, "dashboard": False}}, [address]))]
    said = []

    def kill_it(line):
        said.append(line)
        if len(said) == 4:
            started[0].kill()

    try:
        until = time.monotonic() + 30
        while time.monotonic() < until:
            with contextlib.suppress(OSError):
                socket.create_connection(("127.0.0.1", int(address.rpartition(":")[2]))).close()
                break
            time.sleep(0.2)
        with pytest.raises(InputError, match=r"is gone.*What is done is kept"):
            grade(ROOT, folder, UNIT, progress=kill_it, scheduler=address)
    finally:
        for one in started:
            one.kill()
            one.wait()
    kept = len(list((folder / "executed" / UNIT / "runs").iterdir()))
    assert 1 <= kept < COUNT + 1
    ran, really = [], Worker.run
    monkeypatch.setattr(Worker, "run",
                        lambda self, notebook: ran.append(1) or really(self, notebook))
    again = grade(ROOT, folder, UNIT, progress=quiet, jobs=2)
    assert again.results == local["result"].results
    assert len(ran) == COUNT + 1 - kept


@pytest.mark.long
def test_a_worker_that_cannot_box_says_so(folder, monkeypatch):
    monkeypatch.setenv("PATH", str(folder))
    with (workers(1) as one,
          pytest.raises(InputError, match=r"worker tcp://\S+ says: .*bubblewrap.*--trust-sub")):
        grading.grade(ROOT, folder, UNIT, progress=quiet, scheduler=one.scheduler_address)


def test_a_scheduler_without_workers_is_said(monkeypatch):
    monkeypatch.setattr(clusters, "SECONDS_WITHOUT_WORKERS", 0.5)
    monkeypatch.setattr(clusters, "COUNT_EVERY", 0.1)
    with (workers(0, processes=False, protocol="tcp") as one,
          clusters.Cluster(one.scheduler_address, Limits()) as runner):
        assert runner.room() == 0
        time.sleep(1)
        with pytest.raises(InputError, match="no worker for a minute"):
            runner.room()


def test_where_no_scheduler_is_one_sentence_says_so(tmp_path, monkeypatch, capsys):
    hostile.write(tmp_path / "submitted" / "bo" / UNIT, "{")
    monkeypatch.setattr(clusters, "SECONDS_TO_CONNECT", 0.5)
    monkeypatch.chdir(ROOT)
    with socket.create_server(("127.0.0.1", 0)) as silent:
        port = silent.getsockname()[1]
        for address in (f"tcp://127.0.0.1:{port}", "127.0.0.1:1", "nowhere", "foo://x:1", ""):
            assert main(["grade", UNIT, str(tmp_path), "--scheduler", address]) == 1
            told = capsys.readouterr().err
            assert f"No dask scheduler answers at {address!r}" in told
            assert told.count("\n") == 1
    assert not (tmp_path / "gradebook.db").exists()


def test_without_dask_one_sentence_says_how_to_get_it(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InputError, match=r'pip install -e "\.\[cluster\]"'):
        clusters.Cluster("tcp://127.0.0.1:8786", Limits())


def test_the_command_takes_jobs_or_a_scheduler(capsys):
    with pytest.raises(SystemExit):
        main(["grade", UNIT, "autumn", "--jobs", "2", "--scheduler", "tcp://127.0.0.1:8786"])
    assert "not allowed with" in capsys.readouterr().err
