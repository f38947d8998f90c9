"""Pages on paper: printed by a real browser, and looked at dot by dot."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

DOTS_PER_MM = 10


def print_page(text: str, folder: Path, name: str) -> Path:
    """The page as a browser prints it, a PDF file in the folder."""
    page, printed = folder / f"{name}.html", folder / f"{name}.pdf"
    page.write_text(text, encoding="utf-8")
    browser = shutil.which("chromium") or shutil.which("chromium-browser") or "chromium"
    subprocess.run(
        [browser, "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
         f"--user-data-dir={folder / 'browser'}", f"--print-to-pdf={printed}", page.as_uri()],
        capture_output=True, check=True, timeout=120,
    )  # fmt: skip
    return printed


def said_by(*command: str | Path) -> str:
    """What a program writes to its standard output."""
    done = subprocess.run(list(command), capture_output=True, check=True)
    return done.stdout.decode()


def grey_rows(printed: Path) -> list[bytes]:
    """The first sheet as rows of dots, ten to a mm, each from 0 (black) to 255 (white)."""
    stem = printed.with_suffix("")
    said_by("pdftoppm", "-gray", "-r", "254", "-f", "1", "-l", "1", "-singlefile", printed, stem)
    head, size, _, dots = stem.with_suffix(".pgm").read_bytes().split(b"\n", 3)
    assert head == b"P5"
    width = int(size.split()[0])
    return [dots[at : at + width] for at in range(0, len(dots), width)]
