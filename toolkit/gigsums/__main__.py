"""``python -m gigsums`` is the ``gigsums`` command."""

import sys

from .cli import main

sys.exit(main())
