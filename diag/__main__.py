"""Run the program with ``python -m diag``."""

from diag.ui.cli.main import entry

if __name__ == "__main__":
    entry()
