"""Make the picture of the README: the shipped rule book on a worked case, as the screen shows it.

``python -m tests.ui.tui.readme_picture`` writes it again. Nothing is compared with it: every better rule moves it.
"""

from __future__ import annotations

import asyncio
import re
import tempfile
from pathlib import Path

from diag.session.clock import moment
from tests import ROOT
from tests.ui.tui.stage import stage

CASE = "plover-return-trodden-flat"
PICTURE = Path(__file__).parent / "readme.svg"
ENTRIES = 42  # as many as were told when the picture was taken: the causes stand apart, and a look decides
SIZE = (100, 30)
_FONT = re.compile(
    r"@font-face\s*\{.*?\}\s*|<!--.*?-->\s*", re.DOTALL
)  # the viewer's own monospaced letters, and nothing fetched


async def picture(case: str = CASE) -> str:
    """The screen of a worked case as SVG."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        text = (ROOT / "cases" / f"{case}.yaml").read_text(encoding="utf-8")
        (folder / f"{case}.yaml").write_text(text.partition(f"- entry: {ENTRIES + 1}\n")[0] + "...\n", encoding="utf-8")
        async with stage(folder, SIZE, case=case) as on:
            on.job._clock = lambda: moment(on.job.case.entries[-1].at)  # the day of the case
            on.work.renew()
            await on.settle()
            return _FONT.sub("", on.app.export_screenshot(title="diag", simplify=True))


def main() -> None:
    """Write the picture."""
    PICTURE.write_text(asyncio.run(picture()), encoding="utf-8")


if __name__ == "__main__":
    main()
