"""Three questions to a graph of points and edges: what is joined, what is reached, and what lies between two points.

Points are joined by union-find; what lies between two points is the biconnected block an edge between them would be
in, since what hangs on by one point only carries no current.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence


def merged(size: int, pairs: Collection[tuple[int, int]], start: Sequence[int] | None = None) -> list[int]:
    """Join points (union-find).

    Parameters: size - number of points; pairs - points to join; start - classes as an earlier call gave them.
    Returns: point -> the smallest point it is joined with.
    """
    parent = list(range(size)) if start is None else list(start)

    def find(n: int) -> int:
        while parent[n] != n:
            parent[n] = parent[parent[n]]
            n = parent[n]
        return n

    for a, b in pairs:
        a, b = find(a), find(b)
        if a < b:
            parent[b] = a
        elif b < a:
            parent[a] = b
    return [find(n) for n in range(size)]


def block_between(edges: Sequence[tuple[int, int]], s: int, t: int) -> frozenset[int]:
    """Find the edges that lie on some path from ``s`` to ``t`` that visits no point twice.

    They are the edges of the block (biconnected component) that a further edge s-t would lie in. Edges from a
    point to itself never count.

    Returns: indices of edges; empty where ``s`` and ``t`` are one point or are not connected.
    Source: Hopcroft and Tarjan 1973, Efficient algorithms for graph manipulation.
    """
    if s == t:
        return frozenset()
    # Edges between the same two points are in one block: each such pair is walked once.
    pairs: dict[tuple[int, int], list[int]] = {(s, t) if s < t else (t, s): []}
    for i, (a, b) in enumerate(edges):
        if a != b:
            pairs.setdefault((a, b) if a < b else (b, a), []).append(i)
    members = list(pairs.values())
    touching: dict[int, list[tuple[int, int]]] = {s: [], t: []}
    for n, (a, b) in enumerate(pairs):
        touching.setdefault(a, []).append((n, b))
        touching.setdefault(b, []).append((n, a))
    return frozenset(i for n in _block(touching, s, 0) for i in members[n])


def _block(touching: dict[int, list[tuple[int, int]]], root: int, wanted: int) -> frozenset[int]:
    """The block that holds the edge ``wanted`` (depth-first with an edge stack, after Tarjan and Hopcroft)."""
    order = {root: 0}
    low = {root: 0}
    stack: list[int] = []
    seen: set[int] = set()
    walk: list[tuple[int, int, int]] = [(root, -1, 0)]
    while walk:
        at, came, step = walk.pop()
        if step < len(touching[at]):
            walk.append((at, came, step + 1))
            edge, there = touching[at][step]
            if edge in seen:
                continue
            seen.add(edge)
            stack.append(edge)
            if there in order:
                low[at] = min(low[at], order[there])
            else:
                order[there] = low[there] = len(order)
                walk.append((there, edge, 0))
        elif walk:
            parent = walk[-1][0]
            low[parent] = min(low[parent], low[at])
            if low[at] >= order[parent]:
                cut = stack.index(came)
                block = stack[cut:]
                del stack[cut:]
                if wanted in block:
                    return frozenset(block)
    return frozenset()


def reached(edges: Sequence[tuple[int, int]], starts: Sequence[int]) -> frozenset[int]:
    """Find every point connected to one of ``starts`` by edges."""
    touching: dict[int, list[int]] = {}
    for a, b in edges:
        touching.setdefault(a, []).append(b)
        touching.setdefault(b, []).append(a)
    found = set(starts)
    waiting = list(starts)
    while waiting:
        for there in touching.get(waiting.pop(), ()):
            if there not in found:
                found.add(there)
                waiting.append(there)
    return frozenset(found)
