"""``python -m diagramgen``."""

import sys

try:
    from diagramgen.app.main import main
except KeyboardInterrupt:
    # Stopped before anything was begun.
    sys.stderr.write("stopped\n")
    sys.exit(130)

if __name__ == "__main__":
    main()
