"""What the bridge itself costs: a 200,000-face mesh in and its UVs out, and how soon a cancellation is answered.

usage: python3 bench/bridge/overhead.py [MAIN_JS]     (after npm run build)
"""

import array
import json
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "docs" / "bridge"))
from seamwright_client import Bridge, BridgeCancelled  # noqa: E402

MAIN = str(Path(sys.argv[1]).resolve()) if len(sys.argv) > 1 else str(ROOT / "dist" / "cli" / "main.js")


def grid(size):
    points = array.array("d")
    for y in range(size + 1):
        for x in range(size + 1):
            points.extend((x / size, y / size, 0.1 * ((x * 7 + y * 3) % 11) / size))
    indices = array.array("i")
    for y in range(size):
        for x in range(size):
            a = y * (size + 1) + x
            indices.extend((a, a + 1, a + size + 2, a + size + 1))
    uvs = array.array("d")
    for point in indices:
        uvs.extend((points[3 * point], points[3 * point + 1]))
    return points, array.array("i", [4] * (size * size)), indices, uvs


def seconds(function):
    start = time.perf_counter()
    result = function()
    return time.perf_counter() - start, result


def building_alone(size):
    """Processor seconds that buildMesh takes for the same mesh without any bridge."""
    script = """
        import { buildMesh } from %s;
        const n = %d, points = [], indices = [];
        for (let y = 0; y <= n; y++) for (let x = 0; x <= n; x++) points.push(x / n, y / n, (0.1 * ((x * 7 + y * 3) %% 11)) / n);
        for (let y = 0; y < n; y++) for (let x = 0; x < n; x++) { const a = y * (n + 1) + x; indices.push(a, a + 1, a + n + 2, a + n + 1); }
        const input = { points: Float64Array.from(points), faceVertexCounts: new Int32Array(n * n).fill(4), faceVertexIndices: Int32Array.from(indices) };
        const t = process.cpuUsage(); buildMesh(input); const { user, system } = process.cpuUsage(t); console.log((user + system) / 1e6);
    """ % (json.dumps((Path(MAIN).parents[1] / "index.js").as_uri()), size)
    output = subprocess.run(["node", "--input-type=module", "-e", script], capture_output=True, check=True)
    return float(output.stdout)


def processor_seconds(process_id):
    """Of the bridge and of this process; other than the clock, they do not grow with the load of the machine."""
    fields = Path("/proc/%d/stat" % process_id).read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK") + time.process_time()


def main():
    size = 447
    points, counts, indices, uvs = grid(size)
    figures = {"faces": len(counts), "load of the machine": os.getloadavg()[0]}
    with Bridge(["node", MAIN, "bridge"]) as bridge:
        rounds, processor = [], []
        for _ in range(5):
            before = processor_seconds(bridge._process.pid)
            took, mesh = seconds(lambda: bridge.open_mesh(points, counts, indices, uvs))
            processor.append(processor_seconds(bridge._process.pid) - before)
            rounds.append(took)
            bridge.close_mesh(mesh["mesh"])
        figures["open with UVs, s"] = round(statistics.median(rounds), 3)
        figures["open with UVs, processor s"] = round(statistics.median(processor), 3)
        if (Path(MAIN).parents[1] / "index.js").exists():
            figures["of which building the mesh, processor s"] = round(building_alone(size), 3)
        mesh = bridge.open_mesh(points, counts, indices, uvs)["mesh"]
        figures["measure, s"] = round(seconds(lambda: bridge.measure(mesh=mesh))[0], 3)

        delays = []
        for method, params in (
            ("seams/propose", {"mesh": mesh}),
            ("charts/flatten", {"mesh": mesh, "edges": []}),
            ("sheet/measure", {"mesh": mesh}),
        ):
            for wait in (0.05, 0.3, 1.0):
                request = bridge.begin(method, params)
                time.sleep(wait)
                start = time.perf_counter()
                request.cancel()
                try:
                    request.result(30)
                except BridgeCancelled:
                    delays.append(time.perf_counter() - start)
        figures["cancelled"] = len(delays)
        figures["cancel answered after, ms, median"] = round(1000 * statistics.median(delays), 1)
        figures["cancel answered after, ms, most"] = round(1000 * max(delays), 1)
    print(json.dumps(figures, indent=1))


if __name__ == "__main__":
    main()
