"""Mixed requests from four threads for a long time; the memory of the bridge must stay flat.

usage: python3 bench/bridge/soak.py [MINUTES] [MAIN_JS]     (Linux; after npm run build; 30 minutes by default)
"""

import json
import math
import random
import sys
import threading
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "docs" / "bridge"))
from seamwright_client import Bridge, BridgeCancelled  # noqa: E402

MINUTES = float(sys.argv[1]) if len(sys.argv) > 1 else 30
MAIN = sys.argv[2] if len(sys.argv) > 2 else str(ROOT / "dist" / "cli" / "main.js")


def tube(around, rings):
    points, indices = [], []
    for r in range(rings):
        for a in range(around):
            angle = 2 * math.pi * a / around
            points += [math.cos(angle), 0.3 * r, math.sin(angle)]
    for r in range(rings - 1):
        for a in range(around):
            b = (a + 1) % around
            indices += [r * around + a, (r + 1) * around + a, (r + 1) * around + b, r * around + b]
    return points, [4] * (around * (rings - 1)), indices


def resident_mebibytes(process_id):
    for line in Path("/proc/%d/status" % process_id).read_text().splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024
    return float("nan")


def main():
    end = time.monotonic() + 60 * MINUTES
    counts = {}
    failures = []
    with Bridge(["node", MAIN, "bridge"]) as bridge:

        def work(seed):
            dice = random.Random(seed)
            try:
                while time.monotonic() < end:
                    around, rings = dice.randrange(6, 24), dice.randrange(3, 30)
                    mesh = bridge.open_mesh(*tube(around, rings))["mesh"]
                    for _ in range(6):
                        kind = dice.choice(("propose", "route", "flatten", "sheet", "cancel"))
                        counts[kind] = counts.get(kind, 0) + 1
                        if kind == "propose":
                            proposal = bridge.propose(mesh, sets=1)
                            assert sum(len(c["faces"]) for c in proposal["sets"][0]["charts"]) == around * (rings - 1)
                        elif kind == "route":
                            way = bridge.route(mesh, [0, (rings - 1) * around])
                            assert len(way["vertices"]) == rings
                        elif kind == "cancel":
                            request = bridge.begin("seams/propose", {"mesh": mesh})
                            time.sleep(dice.random() / 5)
                            request.cancel()
                            try:
                                request.result()
                            except BridgeCancelled:
                                pass
                        else:
                            cut = [v for r in range(rings - 1) for v in (r * around, (r + 1) * around)]
                            flat = bridge.flatten(mesh=mesh, edges=cut)
                            if kind == "sheet":
                                sheet = bridge.arrange(flat["flat"], effort=0)
                                assert len(bridge.measure(sheet["sheet"])["flippedFaces"]) == 0
                                bridge.export(sheet["sheet"], "obj")
                    bridge.close_mesh(mesh)
            except BaseException as error:
                failures.append(error)

        threads = [threading.Thread(target=work, args=(seed,)) for seed in range(4)]
        for thread in threads:
            thread.start()
        samples = []
        while any(thread.is_alive() for thread in threads):
            time.sleep(min(5, max(0.1, end - time.monotonic() + 0.1)))
            samples.append(resident_mebibytes(bridge._process.pid))
        for thread in threads:
            thread.join()
        status = bridge.call("bridge/status")
    if failures:
        raise failures[0]
    thirds = [samples[len(samples) * k // 3 : len(samples) * (k + 1) // 3] for k in range(3)]
    print(
        json.dumps(
            {
                "minutes": MINUTES,
                "requests": counts,
                "left open": status,
                "memory, MiB, mean of each third": [round(sum(t) / len(t), 1) for t in thirds],
                "memory, MiB, most": round(max(samples), 1),
            },
            indent=1,
        )
    )


if __name__ == "__main__":
    main()
