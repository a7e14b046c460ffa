"""Make the picture of the README: the shipped rule book on a worked case, as the screen shows it.

``python -m tests.ui.tui.readme_picture`` writes it again. Nothing is compared with it: every better rule moves it.
"""

from __future__ import annotations

import asyncio
import re
import tempfile
from pathlib import Path

from tests import ROOT
from tests.ui.tui.stage import stage

CASE = "plover-return-trodden-flat"
PICTURE = Path(__file__).parent / "readme.svg"
SIZE = (100, 30)
MOST_BYTES = 60_000
_FONT = re.compile(r"@font-face\s*\{.*?\}\s*", re.DOTALL)  # the viewer's own monospaced letters, and nothing fetched


async def picture(case: str = CASE) -> str:
    """The screen of a worked case as SVG."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        (folder / f"{case}.yaml").write_bytes((ROOT / "cases" / f"{case}.yaml").read_bytes())
        async with stage(folder, SIZE, case=case) as on:
            await on.settle()
            return _FONT.sub("", on.app.export_screenshot(title="diag", simplify=True))


def main() -> None:
    """Write the picture."""
    PICTURE.write_text(asyncio.run(picture()), encoding="utf-8")


if __name__ == "__main__":
    main()
