"""``python -m diagramgen``."""

from diagramgen.cli import main

if __name__ == "__main__":
    main()
