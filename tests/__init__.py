"""Tests mirror diag/; ROOT is the checkout, so that no test counts folders."""

from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
