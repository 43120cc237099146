"""What all tests share: the count of outside checks at the end of a run."""


def pytest_terminal_summary(terminalreporter):
    ran = [report for outcome in ("passed", "failed")
           for report in terminalreporter.stats.get(outcome, ())
           if report.when == "call" and "outside" in report.keywords]
    if ran:
        failed = sum(report.failed for report in ran)
        terminalreporter.write_line(f"outside checks: {len(ran)} ran, {failed} failed")
