"""The whole job line by line: question, answer, next question. No cursor movement, no colour, nothing redrawn.

Made for screen readers, slow links and pipes, with the same abilities as the screens. The way in is ``run_plain``.
"""

from __future__ import annotations

from diag.plain.run import run_plain

__all__ = ["run_plain"]
