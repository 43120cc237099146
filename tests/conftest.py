"""What all tests share: invented inputs that repeat, and the count of outside checks."""

from hypothesis import settings

settings.register_profile("repeatable", derandomize=True, deadline=None, database=None)
settings.load_profile("repeatable")


def pytest_terminal_summary(terminalreporter):
    ran = [report for outcome in ("passed", "failed")
           for report in terminalreporter.stats.get(outcome, ())
           if report.when == "call" and "outside" in report.keywords]
    if ran:
        failed = sum(report.failed for report in ran)
        terminalreporter.write_line(f"outside checks: {len(ran)} ran, {failed} failed")
