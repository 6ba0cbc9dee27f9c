"""Whether everything fits: bodies, walls, depth, threads, knobs and holes, in millimetres."""

from diagramgen.layout.fit.check import check_fit

__all__ = ["check_fit"]
