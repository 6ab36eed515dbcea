"""Entry of ``python -m strandwright``."""

from strandwright.cli.main import main

if __name__ == "__main__":
    main()
