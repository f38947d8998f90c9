"""`python -m assistant` is the command dosewren."""

from assistant.cli import main

main()
