"""What all tests share: inputs that repeat, a browser, and the count of outside checks."""

import os
import shutil

import pytest
from hypothesis import settings

settings.register_profile("repeatable", derandomize=True, deadline=None, database=None)
settings.load_profile("repeatable")


@pytest.fixture(scope="module")
def browser():
    """Open Debian's Chromium; without it the test is skipped, which CI takes for a failure."""
    from playwright.sync_api import sync_playwright

    from tests.browser import QUIET

    chromium = shutil.which("chromium")
    if chromium is None:
        why = "Debian's chromium is not installed: apt-get install chromium"
        if os.environ.get("CI"):
            pytest.fail(why)
        pytest.skip(why)
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium, args=QUIET)
        yield opened
        opened.close()


def pytest_terminal_summary(terminalreporter):
    ran = [report for outcome in ("passed", "failed")
           for report in terminalreporter.stats.get(outcome, ())
           if report.when == "call" and "outside" in report.keywords]
    if ran:
        failed = sum(report.failed for report in ran)
        terminalreporter.write_line(f"outside checks: {len(ran)} ran, {failed} failed")
