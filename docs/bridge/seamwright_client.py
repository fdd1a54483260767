"""Client for the seamwright bridge: one file, standard library only, Python 3.9 and later.

Copy this file beside your script. It starts the bridge as a child process and talks to it over pipes; nothing
is opened on any network.

    with Bridge(["node", "/path/to/seamwright/dist/cli/main.js", "bridge"]) as bridge:
        mesh = bridge.open_mesh(points, face_vertex_counts, face_vertex_indices)
        proposal = bridge.propose(mesh["mesh"])
        for seam in proposal["sets"][0]["seams"]:
            print(seam["role"], pairs(seam["edges"]))

Three ways to wait for an answer:

* ``bridge.call(...)`` blocks until it is there. Any number of threads may call at once.
* ``bridge.begin(..., on_done=..., on_error=..., on_progress=...)`` returns at once; the functions are called by
  ``bridge.poll()``, on whatever thread you call that from. Call it from a timer of a host that allows changes to
  the scene on its main thread only.
* ``bridge.begin(..., in_thread=True)`` calls the functions at once, on the client's own thread.
"""

from __future__ import annotations

import array
import base64
import collections
import json
import os
import queue
import shutil
import subprocess
import sys
import threading

__all__ = ["Bridge", "BridgeError", "BridgeCancelled", "BridgeClosed", "Request", "pack", "pairs", "settle"]

PROTOCOL = 1
CANCELLED = -32800


class BridgeError(Exception):
    """An error answer. ``code`` is the JSON-RPC code, ``data`` a dict that may hold ``field`` and ``code``."""

    def __init__(self, code, message, data=None):
        super().__init__(message)
        self.code = code
        self.message = message
        self.data = data or {}


class BridgeCancelled(BridgeError):
    """The request was cancelled."""


class BridgeClosed(BridgeError):
    """The bridge has ended, or could not be started."""


class Request:
    """A request on its way."""

    def __init__(self, bridge, request_id, on_done, on_error, on_progress, in_thread):
        self._bridge = bridge
        self._finished = threading.Event()
        self._result = None
        self._error = None
        self._on_done = on_done
        self._on_error = on_error
        self._on_progress = on_progress
        self._in_thread = in_thread
        self.id = request_id

    def done(self):
        """Whether an answer or an error is there."""
        return self._finished.is_set()

    def cancel(self):
        """Asks for the work to be stopped; the request then fails with BridgeCancelled, unless it is done already."""
        if not self.done():
            self._bridge._notify("$/cancelRequest", {"id": self.id})

    def result(self, timeout=None):
        """The answer. Raises BridgeError, or TimeoutError after that many seconds (the work goes on then)."""
        if not self._finished.wait(timeout):
            raise TimeoutError("the bridge has not answered within %s seconds" % timeout)
        if self._error is not None:
            raise self._error
        return self._result

    def _finish(self, result, error):
        self._result = result
        self._error = error
        self._finished.set()
        if error is None:
            self._tell(self._on_done, result)
        else:
            self._tell(self._on_error, error)

    def _tell(self, function, *arguments):
        if function is None:
            return
        if self._in_thread:
            function(*arguments)
        else:
            self._bridge._calls.append((function, arguments))


class Bridge:
    """A running bridge. Use it in a ``with`` statement, or call ``close()``.

    command: the program and its arguments as a list, such as ``[node, main_js, "bridge"]``; by default the
        ``seamwright`` found on the search path.
    folder: folder whose files may be named by path (``open_path``, ``export`` with a path).
    """

    def __init__(self, command=None, folder=None, start_timeout=60):
        self._calls = collections.deque()
        self._lock = threading.Lock()
        self._pending = {}
        self._last_id = 0
        self._closed = False
        self._last_lines = collections.deque(maxlen=50)
        self._outbox = queue.Queue()
        self._process = self._start(list(command) if command else self._find(), folder)
        self._threads = [
            threading.Thread(target=target, name=name, daemon=True)
            for name, target in (
                ("seamwright-read", self._read_answers),
                ("seamwright-errors", self._read_errors),
                ("seamwright-write", self._write_requests),
            )
        ]
        for thread in self._threads:
            thread.start()
        try:
            client = {"name": "seamwright_client.py", "version": "1"}
            greeting = {"protocol": PROTOCOL, "arrays": "base64", "client": client}
            self.greeting = self.begin("bridge/greet", greeting).result(start_timeout)
        except BaseException:
            self.close(0)
            raise

    @staticmethod
    def _find():
        program = shutil.which("seamwright")
        if program is None:
            raise BridgeClosed(0, "seamwright is not on the search path; give its command as a list")
        return [program, "bridge"]

    @staticmethod
    def _start(command, folder):
        if folder is not None:
            command = command + ["--folder", os.fspath(folder)]
        options = {}
        if os.name == "nt":
            options["creationflags"] = subprocess.CREATE_NO_WINDOW
        try:
            return subprocess.Popen(
                command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                bufsize=0,
                **options,
            )
        except OSError as error:
            raise BridgeClosed(0, "the bridge cannot be started: %s" % error) from error

    # Asking -------------------------------------------------------------------------------------------------

    def begin(self, method, params=None, on_done=None, on_error=None, on_progress=None, in_thread=False):
        """Sends a request and returns at once. See the top of the file for when the functions are called.

        on_done(result), on_error(BridgeError), on_progress(share, stage) with share from 0 to 1.
        """
        with self._lock:
            if self._closed:
                raise self._closed_error()
            self._last_id += 1
            request = Request(self, self._last_id, on_done, on_error, on_progress, in_thread)
            self._pending[request.id] = request
        self._send({"jsonrpc": "2.0", "id": request.id, "method": method, "params": params or {}})
        return request

    def call(self, method, params=None, timeout=None, on_progress=None):
        """Sends a request and waits for its answer. When the wait ends early, the request is cancelled."""
        request = self.begin(method, params, on_progress=on_progress, in_thread=True)
        try:
            return request.result(timeout)
        except (TimeoutError, KeyboardInterrupt):
            request.cancel()
            raise

    def poll(self, limit=None):
        """Calls the functions of requests that have news, on this thread; returns how many were called."""
        count = 0
        while limit is None or count < limit:
            try:
                function, arguments = self._calls.popleft()
            except IndexError:
                break
            count += 1
            function(*arguments)
        return count

    # The methods by name ------------------------------------------------------------------------------------

    def open_mesh(self, points, face_vertex_counts, face_vertex_indices, uvs=None, name=None, **wait):
        """Opens a mesh from flat lists, arrays or anything with a buffer of 4- or 8-byte numbers."""
        params = {
            "points": pack(points, "d"),
            "faceVertexCounts": pack(face_vertex_counts, "i"),
            "faceVertexIndices": pack(face_vertex_indices, "i"),
        }
        if uvs is not None:
            params["uvs"] = pack(uvs, "d")
        if name is not None:
            params["name"] = name
        return self.call("mesh/open", params, **wait)

    def open_path(self, path, **wait):
        """Opens a model file under the folder that the bridge was started with."""
        return self.call("mesh/open", {"path": os.fspath(path)}, **wait)

    def close_mesh(self, mesh, **wait):
        return self.call("mesh/close", {"mesh": mesh}, **wait)

    def propose(self, mesh, on_progress=None, timeout=None, **options):
        """Ranked seam sets; the options are those of seams/propose, as named there."""
        return self.call("seams/propose", dict(options, mesh=mesh), timeout, on_progress)

    def revise(self, proposal, on_progress=None, timeout=None, **options):
        """The same with some options changed against an earlier proposal.

        hints={"avoid": [12, 13], "settled": settle(seam_set, [0, 2])}: edges are flat lists of points; charts
        that are settled stay as they are, and seams are proposed for the rest. An empty list takes a hint back;
        so does {"faces": [], "edges": []} for `settled`.
        """
        return self.call("seams/revise", dict(options, proposal=proposal), timeout, on_progress)

    def route(self, mesh=None, points=(), closed=False, proposal=None, **wait):
        """The way of a seam through points, in order: on a mesh, or with the options and hints of a proposal."""
        ground = {"mesh": mesh} if proposal is None else {"proposal": proposal}
        return self.call("seams/route", dict(ground, points=list(points), closed=closed), **wait)

    def carry(
        self,
        to,
        proposal=None,
        chosen=0,
        carried=None,
        mesh=None,
        edges=None,
        sheet=None,
        tolerance=None,
        timeout=None,
    ):
        """Carries seams, the UVs of a sheet, or both over to `to`, an edited or re-posed version of their mesh.

        The seams are those of set number `chosen` of a proposal, seams `carried` before, or edges of a mesh given
        as a flat list of point pairs; a sheet alone brings the seams it was cut along, and a mesh
        alone the UVs that it was opened with and their seams. tolerance: how far the new
        surface may lie from the old one, as a share of the old model's diagonal, 0 to 1; 0.02 by default.

        The answer has `carried`, which `flatten` and `carry` take, and with a sheet `sheet`, which `measure` and
        `export` take; beside `seams` and `uvs` it says what found no place: `lostEdges`, a dict with `seam` and
        `edges` for each seam with any, `unmatchedFaces`, `doubtfulFaces`, and `notes` in words.
        """
        params = dict(self._seams(proposal, chosen, carried, mesh, edges), to=to)
        if sheet is not None:
            params["sheet"] = sheet
        if tolerance is not None:
            params["tolerance"] = tolerance
        return self.call("seams/carry", params, timeout)

    def flatten(
        self, proposal=None, chosen=0, mesh=None, edges=None, on_progress=None, timeout=None, carried=None
    ):
        """Flattens set number `chosen` of a proposal, seams carried over from another mesh, or a mesh along edges
        given as a flat list of point pairs."""
        return self.call(
            "charts/flatten", self._seams(proposal, chosen, carried, mesh, edges), timeout, on_progress
        )

    @staticmethod
    def _seams(proposal, chosen, carried, mesh, edges):
        """The seams that a request names; nothing where none are given."""
        if proposal is not None:
            return {"proposal": proposal, "set": chosen}
        if carried is not None:
            return {"carried": carried}
        named = {} if mesh is None else {"mesh": mesh}
        if edges is not None:
            named["edges"] = pack(edges, "i")
        return named

    def arrange(self, flat, weights=None, locked=None, on_progress=None, timeout=None, **options):
        """Packs flattened charts on a sheet; the options are those of sheet/arrange, as named there.

        resolution, padding: pixels. effort: 0 (one quick pass) to 100. rotation: "free", "quarter" or "none".
        density: pixels per metre, with metresPerUnit where the model's file does not say it; as many tiles are
            filled as that needs, or tiles at most.
        weights: {"parts": {"head": 1.5}, "charts": [...], "faces": [...]}, any of them: linear factors on the
            density, one number for each chart of the flat and for each face of the mesh.
        stackMirrored: True lays mirror images over their originals, a whole tile away.
        pairMirrored: True lays mirror images beside their originals, mirrored on the sheet as well.
        locked: {"charts": [0, 3], "uvs": uvs}: these charts stay where they are in uvs, which has u, v of every
            corner of the mesh, as a sheet has.
        """
        if weights is not None:
            lists = {name: pack(weights[name], "d") for name in ("charts", "faces") if name in weights}
            options["weights"] = dict(weights, **lists)
        if locked is not None:
            options["locked"] = {"charts": pack(locked["charts"], "i"), "uvs": pack(locked["uvs"], "d")}
        return self.call("sheet/arrange", dict(options, flat=flat), timeout, on_progress)

    def measure(self, sheet=None, mesh=None, uvs=None, timeout=None):
        if sheet is not None:
            return self.call("sheet/measure", {"sheet": sheet}, timeout)
        params = {"mesh": mesh}
        if uvs is not None:
            params["uvs"] = pack(uvs, "d")
        return self.call("sheet/measure", params, timeout)

    def export(self, sheet, form=None, path=None, timeout=None):
        """The finished file as bytes, or, with a path under the allowed folder, written there."""
        params = {"sheet": sheet}
        if form is not None:
            params["format"] = form
        if path is not None:
            params["path"] = os.fspath(path)
        answer = self.call("sheet/export", params, timeout)
        return answer if path is not None else base64.b64decode(answer["base64"])

    # Ending -------------------------------------------------------------------------------------------------

    def close(self, timeout=5):
        """Ends the bridge; what still runs fails with BridgeClosed."""
        with self._lock:
            self._closed = True
        self._outbox.put(None)
        process = self._process
        try:
            process.wait(timeout)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        for thread in self._threads:
            if thread is not threading.current_thread():
                thread.join(5)
        for pipe in (process.stdout, process.stderr):
            pipe.close()
        self._fail_all()

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.close()

    # Inside -------------------------------------------------------------------------------------------------

    def _notify(self, method, params):
        self._send({"jsonrpc": "2.0", "method": method, "params": params})

    def _send(self, message):
        # ASCII with escapes: no code page of the system can spoil it.
        body = json.dumps(message, allow_nan=False, separators=(",", ":")).encode("ascii")
        self._outbox.put(b"Content-Length: %d\r\n\r\n" % len(body) + body)

    def _write_requests(self):
        """On a thread of its own, as a full pipe would hold up the caller."""
        stdin = self._process.stdin
        try:
            while True:
                data = self._outbox.get()
                if data is None:
                    break
                view = memoryview(data)
                while view:
                    view = view[stdin.write(view) or 0 :]
        except (OSError, ValueError):
            pass
        finally:
            try:
                stdin.close()
            except OSError:
                pass

    def _read_errors(self):
        for line in iter(self._process.stderr.readline, b""):
            self._last_lines.append(line.decode("utf-8", "replace").rstrip())

    def _read_answers(self):
        try:
            reader = _FrameReader(self._process.stdout)
            while True:
                body = reader.read()
                if body is None:
                    break
                message = json.loads(body.decode("utf-8"), object_hook=_unpack)
                self._receive(message)
        except (OSError, ValueError):
            pass
        finally:
            with self._lock:
                self._closed = True
            self._outbox.put(None)
            self._fail_all()

    def _receive(self, message):
        if message.get("method") == "$/progress":
            params = message["params"]
            with self._lock:
                request = self._pending.get(params["id"])
            if request is not None:
                request._tell(request._on_progress, params["share"], params["stage"])
            return
        with self._lock:
            request = self._pending.pop(message.get("id"), None)
        if request is None:
            return
        error = message.get("error")
        if error is None:
            request._finish(message.get("result"), None)
        else:
            kind = BridgeCancelled if error["code"] == CANCELLED else BridgeError
            request._finish(None, kind(error["code"], error["message"], error.get("data")))

    def _fail_all(self):
        with self._lock:
            pending = list(self._pending.values())
            self._pending.clear()
        for request in pending:
            request._finish(None, self._closed_error())

    def _closed_error(self):
        lines = "\n".join(self._last_lines)
        return BridgeClosed(0, "the bridge has ended" + (": " + lines if lines else ""))


class _FrameReader:
    """Messages with a Content-Length header, from an unbuffered binary pipe."""

    def __init__(self, pipe):
        self._pipe = pipe
        self._buffer = bytearray()

    def read(self):
        """The bytes of the next message, or None at the end."""
        while True:
            end = self._buffer.find(b"\r\n\r\n")
            if end >= 0:
                break
            if not self._fill():
                return None
        length = None
        for line in bytes(self._buffer[:end]).split(b"\r\n"):
            name, _, value = line.partition(b":")
            if name.strip().lower() == b"content-length":
                length = int(value)
        if length is None:
            raise ValueError("the bridge sent something that is no message")
        start = end + 4
        while len(self._buffer) < start + length:
            if not self._fill():
                return None
        body = bytes(self._buffer[start : start + length])
        del self._buffer[: start + length]
        return body

    def _fill(self):
        chunk = self._pipe.read(1 << 16)
        if not chunk:
            return False
        self._buffer += chunk
        return True


_TYPE_OF_CODE = {"f": "float32", "d": "float64", "i": "int32", "I": "uint32"}
_CODE_OF_TYPE = {"float64": "d", "int32": "i"}


def pack(values, code="d"):
    """Numbers as the bridge takes them fastest: Base64 of a little-endian array.

    values: a flat list, or anything with the buffer protocol whose items are "f", "d", "i" or "I".
    code: "d" for coordinates and UVs, "i" for counts and indices; what a list is turned into.
    """
    try:
        view = memoryview(values)
        data = array.array(view.format)
        if view.format not in _TYPE_OF_CODE:
            raise TypeError
        data.frombytes(view.cast("B") if view.contiguous else view.tobytes())
    except (TypeError, ValueError):
        data = array.array(code, values)
    if data.typecode in "iI" and data.itemsize != 4:
        raise TypeError("this Python has no 4-byte integers")
    if sys.byteorder == "big":
        data.byteswap()
    return {"type": _TYPE_OF_CODE[data.typecode], "base64": base64.b64encode(data.tobytes()).decode("ascii")}


def pairs(edges):
    """The pairs of points in a flat list of edges: [(a, b), (b, c), ...]."""
    return list(zip(edges[0::2], edges[1::2]))


def settle(seam_set, charts=None):
    """The hint ``settled`` for some charts of a proposed set, by their number; for all of them by default."""
    chosen = range(len(seam_set["charts"])) if charts is None else charts
    return {
        "faces": pack([face for i in chosen for face in seam_set["charts"][i]["faces"]], "i"),
        "edges": pack([point for seam in seam_set["seams"] for point in seam["edges"]], "i"),
    }


def _unpack(value):
    """Turns packed numbers of an answer into arrays."""
    if len(value) == 2 and "base64" in value and value.get("type") in _CODE_OF_TYPE:
        numbers = array.array(_CODE_OF_TYPE[value["type"]])
        numbers.frombytes(base64.b64decode(value["base64"]))
        if sys.byteorder == "big":
            numbers.byteswap()
        return numbers
    return value
