"""Run the program with ``python -m diag``."""

import sys

from diag.ui.cli.main import main

sys.exit(main())
