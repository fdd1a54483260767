"""Checks that drive the bridge's process through its client.  usage: client_checks.py MAIN_JS FOLDER CHECK"""

import array
import json
import math
import os
import random
import subprocess
import sys
import threading
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent.parent / "docs" / "bridge"))
from seamwright_client import Bridge, BridgeCancelled, BridgeClosed, BridgeError, pack, pairs, settle  # noqa: E402

MAIN = sys.argv[1]
FOLDER = Path(sys.argv[2])
NODE = os.environ.get("NODE", "node")


def start(*arguments, **options):
    return Bridge([NODE, MAIN, "bridge", *arguments], **options)


def tube(around, rings):
    """An open tube of quads: points, counts, indices."""
    points = []
    for r in range(rings):
        for a in range(around):
            angle = 2 * math.pi * a / around
            points += [math.cos(angle), 0.7 * r, math.sin(angle)]
    indices = []
    for r in range(rings - 1):
        for a in range(around):
            b = (a + 1) % around
            indices += [r * around + a, (r + 1) * around + a, (r + 1) * around + b, r * around + b]
    return points, [4] * (around * (rings - 1)), indices


def grid(size):
    """A bulging sheet of quads, one disk."""
    points = []
    for y in range(size + 1):
        for x in range(size + 1):
            u, v = x / size - 0.5, y / size - 0.5
            points += [u, v, 0.8 * math.exp(-4 * (u * u + v * v))]
    indices = []
    for y in range(size):
        for x in range(size):
            a = y * (size + 1) + x
            indices += [a, a + 1, a + size + 2, a + size + 1]
    return points, [4] * (size * size), indices


def expect_error(code, field, function, *arguments, **options):
    try:
        function(*arguments, **options)
    except BridgeError as error:
        assert error.code == code, (error.code, error.message)
        if field is not None:
            assert error.data.get("field") == field, (error.data, error.message)
        return error
    raise AssertionError("no error %d" % code)


def whole_trip():
    """The recipe: arrays in, seams as pairs of points and UVs of corners out."""
    with start() as bridge:
        assert bridge.greeting["protocol"] == 1
        points, counts, indices = tube(8, 5)
        mesh = bridge.open_mesh(points, counts, indices, name="Ärmel")
        assert (mesh["name"], mesh["points"], mesh["faces"], mesh["shells"]) == ("Ärmel", 40, 32, 1)
        told = []
        proposal = bridge.propose(mesh["mesh"], on_progress=lambda share, stage: told.append(share), sets=1)
        assert told == sorted(told) and told[-1] == 1, told
        sides = set()
        at = 0
        for count in counts:
            for k in range(count):
                sides.add(frozenset((indices[at + k], indices[at + (k + 1) % count])))
            at += count
        cut = proposal["sets"][0]["seams"]
        assert cut and all(frozenset(edge) in sides for seam in cut for edge in pairs(seam["edges"]))
        faces = sorted(face for chart in proposal["sets"][0]["charts"] for face in chart["faces"])
        assert faces == list(range(32))

        kept = frozenset((8, 9))
        revised = bridge.revise(proposal["proposal"], hints={"keep": sorted(kept)})
        edges = {frozenset(edge) for seam in revised["sets"][0]["seams"] for edge in pairs(seam["edges"])}
        assert kept in edges

        # A chart that is settled is there again, face by face, and nothing else of it is cut.
        settled = settle(revised["sets"][0], [0])
        third = bridge.revise(proposal["proposal"], hints={"settled": settled, "avoid": sorted(kept)})
        same = set(revised["sets"][0]["charts"][0]["faces"])
        assert any(set(chart["faces"]) == same for seam_set in third["sets"] for chart in seam_set["charts"])

        flat = bridge.flatten(proposal["proposal"])
        assert all(chart["isInjective"] for chart in flat["charts"])
        sheet = bridge.arrange(flat["flat"], effort=0, resolution=512)
        assert len(sheet["uvs"]) == 2 * len(indices) and all(0 <= value <= 1 for value in sheet["uvs"])
        measured = bridge.measure(sheet["sheet"])
        assert len(measured["flippedFaces"]) == 0 and measured["overlappingPairs"] == 0
        again = bridge.measure(mesh=mesh["mesh"], uvs=sheet["uvs"])
        assert again["energy"] == measured["energy"]
        text = bridge.export(sheet["sheet"], "obj").decode("utf-8")
        assert text.count("\nf ") == 32 and "\nvt " in text
        for form in ("glb", "usda", "json"):
            assert len(bridge.export(sheet["sheet"], form)) > 500

        own = bridge.route(mesh["mesh"], [0, 32])
        assert list(own["vertices"]) == [0, 8, 16, 24, 32], own
        opened = bridge.flatten(mesh=mesh["mesh"], edges=own["edges"])
        assert len(opened["charts"]) == 1 and opened["energy"] < 4.001
        bridge.close_mesh(mesh["mesh"])
        expect_error(-32002, "sheet", bridge.measure, sheet["sheet"])


def finished_sheet():
    """All options of a sheet, as lists and as buffers, and a sheet carried over to an edited mesh."""
    with start() as bridge:
        points, counts, indices = tube(8, 5)
        mesh = bridge.open_mesh(points, counts, indices)["mesh"]
        cut = [point for ring in range(4) for point in (8 * ring, 8 * ring + 8)]
        cut += [point for a in range(8) for point in (16 + a, 16 + (a + 1) % 8)]
        flat = bridge.flatten(mesh=mesh, edges=cut)
        assert len(flat["charts"]) == 2
        even = bridge.arrange(flat["flat"], effort=0, resolution=512)
        scales = [chart["scale"] for chart in even["charts"]]
        assert abs(scales[1] / scales[0] - 1) < 1e-9, scales

        first = set(flat["charts"][0]["faces"])
        faces = array.array("f", [2.0 if face in first else 1.0 for face in range(32)])
        for weights in ({"charts": [2, 1]}, {"faces": faces}, {"charts": [1, 0.5], "parts": {}}):
            uneven = bridge.arrange(flat["flat"], effort=0, resolution=512, weights=weights)
            scales = [chart["scale"] for chart in uneven["charts"]]
            assert abs(scales[0] / scales[1] - 2) < 1e-9, scales
        error = expect_error(-32602, "weights.faces", bridge.arrange, flat["flat"], weights={"faces": [1, 2]})
        assert "expected 32" in error.message, error.message
        expect_error(-32602, "weights.charts[1]", bridge.arrange, flat["flat"], weights={"charts": [1, 0]})

        dense = bridge.arrange(flat["flat"], effort=0, resolution=512, density=7000, metresPerUnit=0.01, tiles=2)
        assert abs(dense["density"]["pixelsPerUnit"] - 70) < 1e-6, dense["density"]
        expect_error(-32005, None, bridge.arrange, flat["flat"], density=30000, tiles=1)

        small = array.array("d", [value / 4 for value in even["uvs"]])
        locked = bridge.arrange(
            flat["flat"], effort=0, resolution=512, stackMirrored=True, locked={"charts": [1], "uvs": small}
        )
        assert [chart["locked"] for chart in locked["charts"]] == [False, True]
        at = flat["charts"][1]["corners"][0]
        assert locked["uvs"][2 * at : 2 * at + 2] == small[2 * at : 2 * at + 2]

        bent = [x + (points[i + 1] ** 2 / 10 if i % 3 == 0 else 0) for i, x in enumerate(points)]
        posed = bridge.open_mesh(bent, counts, indices)["mesh"]
        carried = bridge.carry(posed, sheet=even["sheet"])
        assert carried["isExact"] and carried["uvs"] == even["uvs"]
        assert bridge.measure(carried["sheet"])["overlappingPairs"] == 0
        assert bridge.export(carried["sheet"], "obj").decode("utf-8").count("\nf ") == 32

        # Each quad cut in two: the seams are the same, the faces are not.
        halves = [indices[k + c] for k in range(0, len(indices), 4) for c in (0, 1, 2, 0, 2, 3)]
        finer = bridge.open_mesh(points, [3] * 64, halves)["mesh"]
        carried = bridge.carry(finer, mesh=mesh, edges=cut, sheet=even["sheet"])
        assert not carried["isExact"] and carried["notes"] == [], carried["notes"]
        assert len(carried["unmatchedFaces"]) == len(carried["doubtfulFaces"]) == 0
        edges = sorted(tuple(sorted(edge)) for seam in carried["seams"] for edge in pairs(seam["edges"]))
        assert edges == sorted(tuple(sorted(edge)) for edge in pairs(cut)), edges
        assert len(bridge.flatten(carried=carried["carried"])["charts"]) == 2
        back = bridge.carry(mesh, carried=carried["carried"], tolerance=0.01)
        assert len(back["seams"][0]["edges"]) == len(cut)
        expect_error(-32602, "tolerance", bridge.carry, mesh, carried=carried["carried"], tolerance=-1)
        expect_error(-32602, "proposal", bridge.carry, mesh)


def poll_on_main_thread():
    """Functions are called by poll() and on no other thread."""
    with start() as bridge:
        mesh = bridge.open_mesh(*tube(6, 3))["mesh"]
        calls = []

        def note(kind):
            return lambda *_: calls.append((kind, threading.current_thread() is threading.main_thread()))

        request = bridge.begin(
            "seams/propose", {"mesh": mesh}, on_done=note("done"), on_error=note("error"), on_progress=note("step")
        )
        bad = bridge.begin("seams/propose", {"mesh": "no"}, on_done=note("done"), on_error=note("bad"))
        while not (request.done() and bad.done()):
            time.sleep(0.01)
        assert calls == []
        while bridge.poll(limit=1):
            pass
        kinds = [kind for kind, _ in calls]
        assert kinds.count("done") == 1 and kinds.count("bad") == 1 and "step" in kinds, kinds
        assert all(is_main for _, is_main in calls)


def thousand_requests():
    """1,000 mixed requests from 8 threads on 4 meshes; no answer belongs to another request."""
    with start() as bridge:
        meshes = []
        for i in range(4):
            shape = tube(6 + i, 4 + i)
            # Each with UVs of its own size, so that a measure of another mesh would show.
            uvs = [value for corner in shape[2] for value in (corner / 100, (i + 1) * corner / 200)]
            opened = bridge.open_mesh(*shape, uvs=uvs)
            meshes.append((opened["mesh"], 6 + i, 4 + i))
        proposed = meshes[0]
        proposal = bridge.propose(proposed[0], sets=1)["proposal"]
        failures = []

        def work(seed):
            dice = random.Random(seed)
            try:
                for _ in range(125):
                    mesh, around, rings = dice.choice(meshes)
                    kind = dice.randrange(16)
                    if kind <= 4:
                        a = dice.randrange(around)
                        got = bridge.route(mesh, [a, (rings - 1) * around + a])
                        assert list(got["vertices"]) == [r * around + a for r in range(rings)], got
                    elif kind <= 8:
                        got = bridge.measure(mesh=mesh)
                        assert len(got["faceCharts"]) == around * (rings - 1)
                    elif kind == 9:
                        cut = [v for r in range(rings - 1) for v in (r * around, (r + 1) * around)]
                        got = bridge.flatten(mesh=mesh, edges=cut)
                        assert len(got["charts"]) == 1 and len(got["charts"][0]["faces"]) == around * (rings - 1)
                    elif kind == 10 and mesh == proposed[0]:
                        got = bridge.flatten(proposal)
                        assert sum(len(c["faces"]) for c in got["charts"]) == around * (rings - 1)
                    elif kind <= 12:
                        size = dice.randrange(3, 9)
                        opened = bridge.open_mesh(*tube(size, 3))
                        assert opened["points"] == 3 * size
                        bridge.close_mesh(opened["mesh"])
                    elif kind == 13:
                        expect_error(-32602, "points[1]", bridge.route, mesh, [0, 10**6])
                        expect_error(-32002, "mesh", bridge.measure, mesh="mesh-0")
                    else:
                        request = bridge.begin("sheet/measure", {"mesh": mesh})
                        request.cancel()
                        try:
                            assert len(request.result()["faceCharts"]) == around * (rings - 1)
                        except BridgeCancelled:
                            pass
            except BaseException as error:
                failures.append(error)

        threads = [threading.Thread(target=work, args=(seed,)) for seed in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        if failures:
            raise failures[0]
        status = bridge.call("bridge/status")
        assert status["pending"] == 0 and len(status["meshes"]) == 4, status


def cancelling():
    """A request is cancelled while it runs, while it waits, and while it cannot listen; the rest goes on."""
    with start("--jobs", "1") as bridge:
        small = bridge.open_mesh(*tube(6, 3))["mesh"]
        proposal = bridge.propose(small, sets=1)
        flat = bridge.flatten(proposal["proposal"])["flat"]
        large = bridge.open_mesh(*tube(60, 60))["mesh"]
        begun = threading.Event()
        running = bridge.begin("seams/propose", {"mesh": large}, on_progress=lambda *_: begun.set(), in_thread=True)
        waiting = bridge.begin("seams/route", {"mesh": small, "points": [0, 12]})
        assert begun.wait(60)
        for request in (waiting, running):
            request.cancel()
            try:
                request.result(30)
                raise AssertionError("it was not cancelled")
            except BridgeCancelled as error:
                assert error.code == -32800
        # Whether packing listens in time or its thread is replaced: what the session holds is not lost.
        begun.clear()
        deaf = bridge.begin(
            "sheet/arrange", {"flat": flat, "effort": 100}, on_progress=lambda *_: begun.set(), in_thread=True
        )
        assert begun.wait(60)
        time.sleep(0.1)
        deaf.cancel()
        try:
            deaf.result(30)
        except BridgeCancelled:
            pass
        assert list(bridge.route(small, [0, 12])["vertices"]) == [0, 6, 12]
        assert bridge.arrange(flat, effort=0)["fill"] > 0
        running.cancel()
        assert bridge.call("bridge/status")["pending"] == 0


def wrong_fields():
    """Every field of every method with every wrong type: the error names the field."""
    cases = json.loads((FOLDER / "wrong-fields.json").read_text("utf-8"))
    with start() as bridge:
        points, counts, indices = tube(6, 3)
        mesh = bridge.open_mesh(points, counts, indices)["mesh"]
        proposal = bridge.propose(mesh, sets=1)["proposal"]
        flat = bridge.flatten(proposal)["flat"]
        sheet = bridge.arrange(flat, effort=0)["sheet"]
        names = {"$mesh": mesh, "$proposal": proposal, "$flat": flat, "$sheet": sheet}
        wrong = []
        for case in cases:
            params = {
                name: names.get(value, value) if isinstance(value, str) else value
                for name, value in case["params"].items()
            }
            try:
                bridge.call(case["method"], params)
                wrong.append((case, "no error"))
            except BridgeError as error:
                field = str(error.data.get("field"))
                if error.code != -32602 or not field.startswith(case["field"]):
                    wrong.append((case, error.code, error.data, error.message))
        assert not wrong, wrong[:5]
        print(len(cases), "wrong requests refused")


def closing_input():
    """The input is closed, or the client killed, in the middle of a request: the process ends, and ends clean."""
    for way in ("close", "kill"):
        bridge = start()
        mesh = bridge.open_mesh(*tube(60, 60))["mesh"]
        begun = threading.Event()
        request = bridge.begin("seams/propose", {"mesh": mesh}, on_progress=lambda *_: begun.set(), in_thread=True)
        assert begun.wait(60)
        if way == "close":
            bridge.close(timeout=20)
            assert bridge._process.returncode == 0, bridge._process.returncode
        else:
            bridge._process.kill()
        try:
            request.result(20)
            raise AssertionError("a result without a bridge")
        except BridgeClosed:
            pass
        bridge.close()
        expect_error(0, None, bridge.call, "bridge/status")


def paths():
    """Paths are used only under the allowed folder, and lead out of it neither by '..' nor by links."""
    allowed = FOLDER / "allowed"
    outside = FOLDER / "outside"
    for folder in (allowed / "inner", outside):
        folder.mkdir(parents=True, exist_ok=True)
    text = "v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nvt 0 0\nvt 1 0\nvt 1 1\nvt 0 1\nf 1/1 2/2 3/3 4/4\n"
    (allowed / "inner" / "kärtchen.obj").write_text(text, "utf-8")
    (outside / "secret.obj").write_text(text, "utf-8")
    (outside / "secret.bin").write_bytes(bytes(100))
    for name, target in (
        ("link.obj", outside / "secret.obj"),
        ("way", outside),
        ("dangling", outside / "not" / "there"),
    ):
        link = allowed / name
        if not link.is_symlink():
            link.symlink_to(target)
    gltf = {
        "asset": {"version": "2.0"},
        "buffers": [{"uri": "way/secret.bin", "byteLength": 36}],
        "bufferViews": [{"buffer": 0, "byteLength": 36}],
        "accessors": [{"bufferView": 0, "componentType": 5126, "count": 3, "type": "VEC3"}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}}]}],
    }
    (allowed / "leak.gltf").write_text(json.dumps(gltf), "utf-8")
    with start() as bridge:
        expect_error(-32004, "path", bridge.open_path, allowed / "inner" / "kärtchen.obj")
    with start(folder=allowed) as bridge:
        mesh = bridge.open_path("inner/kärtchen.obj")
        assert mesh["faces"] == 1 and mesh["hasUvs"]
        assert bridge.open_path(allowed / "inner" / "kärtchen.obj")["faces"] == 1
        for path in (
            "../outside/secret.obj",
            "inner/../../outside/secret.obj",
            "inner\\..\\x.obj",
            str(outside / "secret.obj"),
            "link.obj",
            "way/secret.obj",
            "",
            "a\0b",
        ):
            expect_error(-32004, "path", bridge.open_path, path)
        expect_error(-32006, "path", bridge.open_path, "missing.obj")
        expect_error(-32006, "path", bridge.open_path, "inner")
        expect_error(-32004, None, bridge.open_path, "leak.gltf")
        flat = bridge.flatten(mesh=mesh["mesh"], edges=[])
        sheet = bridge.arrange(flat["flat"], effort=0)["sheet"]
        written = bridge.export(sheet, path="made/new.obj")
        assert (allowed / "made" / "new.obj").stat().st_size == written["byteLength"]
        for path in ("../outside/x.obj", "way/x.obj", "link.obj", "dangling", "dangling/x.obj", str(outside / "x.obj")):
            expect_error(-32004, "path", bridge.export, sheet, path=path)
        assert sorted(p.name for p in outside.iterdir()) == ["secret.bin", "secret.obj"]


def limits():
    """Messages, meshes and memory are bounded, each with its own error, and the bridge goes on."""
    with start("--max-message", "1", "--max-meshes", "2") as bridge:
        error = expect_error(0, None, begin_too_large, bridge)
        assert "too large" in error.message, error.message
        meshes = [bridge.open_mesh(*tube(5, 3))["mesh"] for _ in range(2)]
        error = expect_error(-32003, None, bridge.open_mesh, *tube(5, 3))
        assert error.data["limit"] == "maxMeshes"
        bridge.close_mesh(meshes[0])
        bridge.open_mesh(*tube(5, 3))


def begin_too_large(bridge):
    """A message over the limit has no id to be answered by; the error comes without one, and is noted."""
    faults = []
    receive = bridge._receive
    bridge._receive = lambda message: faults.append(message) if message.get("id", 0) is None else receive(message)
    request = bridge.begin("mesh/open", {"name": "x" * (1 << 20)})
    bridge.call("bridge/status")
    assert not request.done() and len(faults) == 1 and faults[0]["error"]["code"] == -32003
    raise BridgeError(0, faults[0]["error"]["message"])


CHECKS = {
    function.__name__: function
    for function in (
        whole_trip,
        finished_sheet,
        poll_on_main_thread,
        thousand_requests,
        cancelling,
        wrong_fields,
        closing_input,
        paths,
        limits,
    )
}

if __name__ == "__main__":
    CHECKS[sys.argv[3]]()
