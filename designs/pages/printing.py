"""The report as a PDF: the very page, printed by a browser of this machine."""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

BROWSERS = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "msedge",
    "microsoft-edge",
)
"""Names under which browsers that print without a window are found; the variable BROWSER may name another."""
PLACES = (
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    "C:/Program Files/Google/Chrome/Application/chrome.exe",
    "C:/Program Files (x86)/Microsoft/Edge/Application/msedge.exe",
)
PAPERS = ("A4", "letter")
PATIENCE = 120  # s
QUIET = ("--headless", "--disable-gpu", "--no-first-run", "--disable-extensions", "--disable-background-networking",
         "--disable-component-update", "--disable-sync", "--no-pdf-header-footer")  # fmt: skip


class NoBrowserError(OSError):
    """No browser could be had, or it printed nothing; the message says how to print oneself."""


def browser() -> str | None:
    """Return a browser that can print; None if there is none."""
    named = os.environ.get("BROWSER", "")
    found = [shutil.which(each) for each in (named, *BROWSERS) if each]
    found += [each for each in PLACES if Path(each).is_file()]
    return next((each for each in found if each), None)


def on_paper(page: str, paper: str) -> str:
    """Return the page for one size of paper; a browser's own dialogue asks for it instead."""
    return page.replace("</style>", f"@page {{ size: {paper}; }}\n</style>", 1)


def print_page(page: str, path: Path, paper: str = "A4") -> None:
    """Print a page, HTML, to a PDF file; raises NoBrowserError where none can be had."""
    program = browser()
    if program is None:
        raise NoBrowserError(f"no browser was found to print with (looked for: {', '.join(BROWSERS)}); {BY_HAND}")
    with tempfile.TemporaryDirectory(prefix="quietcrank-", ignore_cleanup_errors=True) as folder:
        html, pdf = Path(folder) / "report.html", Path(folder) / "report.pdf"
        html.write_text(on_paper(page, paper), "utf-8")
        flags = [*QUIET, f"--user-data-dir={Path(folder) / 'profile'}", f"--print-to-pdf={pdf}"]
        if sys.platform == "linux" and os.geteuid() == 0:
            flags.append("--no-sandbox")  # which a browser does not have for root; the page asks for nothing
        try:
            subprocess.run([program, *flags, html.as_uri()], check=False, capture_output=True, timeout=PATIENCE)
        except (OSError, subprocess.TimeoutExpired) as error:
            raise NoBrowserError(f"{program} did not print: {error}; {BY_HAND}") from error
        if not pdf.is_file() or not pdf.stat().st_size:
            raise NoBrowserError(f"{program} printed nothing; {BY_HAND}")
        shutil.copyfile(pdf, path)


BY_HAND = "open the page in any browser and print it (Ctrl-P) to PDF, without headers, margins as they are"
