"""`python -m rasterc`."""

from rasterc.cli import main

if __name__ == "__main__":
    main()
