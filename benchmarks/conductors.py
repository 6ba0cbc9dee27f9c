"""Generated pickups, conductors shuffled, with tolerances, noise and faults: how many are named rightly, or wrongly.

    python benchmarks/conductors.py [--count N]
"""

from __future__ import annotations

import argparse
import math
import random
import time
from collections import Counter
from dataclasses import replace

from diagramgen.features.identify.compute import orders_of, sort
from diagramgen.features.identify.model import expected_readings, pickup_of
from diagramgen.features.identify.observations import Face, Kick, Metering, Ohms, Tap
from diagramgen.library import catalogue

KINDS = ("dual-coil", "dual-coil-unlike", "single-coil-tapped", "single-coil", "dual-coil-two-conductor-bare",
         "single-coil-cover-tag")
COLOURS = ("red", "white", "green", "black", "bare")


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=10_000)
    count = parser.parse_args().count
    known = catalogue.shipped()
    every = {kind: orders_of(pickup_of(known[kind])) for kind in KINDS}
    rng = random.Random(7)
    tally: Counter[str] = Counter()
    start = time.process_time()
    for n in range(count):
        of = every[KINDS[n % len(KINDS)]]
        scale = math.exp(rng.gauss(0, 0.3))
        made = replace(of.pickup, coils=tuple(replace(c, ohm=c.ohm * scale * math.exp(rng.gauss(0, 0.04)))
                                              for c in of.pickup.coils))
        kinds = expected_readings(made)
        shown = kinds[0] if rng.random() < 0.9 else rng.choice(kinds)
        way, size = rng.choice((1, -1)), len(made.lugs)
        lug = [*rng.sample(range(size), size), size]
        metered: list[Metering] = [Face(i, c.magnet * way) for i, c in enumerate(made.coils)]
        for i in range(size + 1):
            for j in range(i + 1, size + 1):
                ohms = float(shown.ohms[lug[i], lug[j]])
                metered.append(Ohms(i, j, ohms * math.exp(rng.gauss(0, 0.01)) if 0 < ohms < math.inf else ohms))
                if j < size and shown.kick[lug[i], lug[j]]:
                    metered.append(Kick(i, j, int(shown.kick[lug[i], lug[j]]) * way))
                if j < size and shown.coil[lug[i], lug[j]] >= 0:
                    metered.append(Tap(i, j, int(shown.coil[lug[i], lug[j]])))
        found = sort(of, metered, COLOURS[:size], ask=False)
        right = all(lug[x.conductor] == made.lugs.index(x.lug) for x in found.names)
        tally[("right" if right else "wrong") + (", with a warning" if found.warnings else ", sure")] += 1
        tally["with a fault inside"] += bool(shown.fault.words)
        tally["fault named"] += bool(shown.fault.words) and found.fault == shown.fault.words
        tally["fault without a warning"] += bool(shown.fault.words) and not found.warnings
    took = time.process_time() - start
    for word in sorted(tally):
        print(f"{word:28} {tally[word]:6}")
    print(f"{count} pickups, {1e3 * took / count:.1f} ms each; goal: wrong, sure = {tally['wrong, sure']} (0)")


if __name__ == "__main__":
    main()
