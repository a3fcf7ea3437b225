"""The engine inside the page, run here: it decides as the server does, from what the server sent it."""

from __future__ import annotations

import gzip
import json
import subprocess
import sys
import warnings
from collections.abc import Iterator
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest

from engine_sessions import MACHINES, Played, played
from steelyard.errors import DamagedJournal, OutOfRange, UnknownName
from steelyard.journal.events import EventDeleted
from steelyard.journal.memory import MemoryJournal
from steelyard.live.engine import Desk, Engine
from steelyard.live.laws import plain_laws, read_laws
from steelyard.live.opening import needed, opening
from steelyard.service import Steelyard
from steelyard.web import engine as served
from steelyard.web.app import make_app
from steelyard.workshop.sets import log_set

with warnings.catch_warnings():  # Starlette would rather see another HTTP client under its test client
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient


@pytest.fixture(scope="module", params=MACHINES)
def machine(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Played:
    return played(tmp_path_factory.mktemp("engine") / "home", request.param)


@pytest.fixture(scope="module")
def tove(tmp_path_factory: pytest.TempPathFactory) -> Played:
    return played(tmp_path_factory.mktemp("engine") / "home", "boathouse")


def same(one: Any, other: Any) -> bool:
    """Whether two things are the same once they were written as JSON."""
    return json.loads(json.dumps(one)) == json.loads(json.dumps(other))


def test_it_shows_what_the_server_shows_set_by_set(machine: Played, tmp_path: Path) -> None:
    engine = Engine(json.loads(json.dumps(machine.opened)), tmp_path)
    assert len(machine.asked) > 8
    for asked, answer in zip(machine.asked, machine.answers, strict=True):
        assert same(engine.screen(asked["events"], now=asked["now"]), answer)


def test_events_that_are_said_no_more_are_forgotten(tove: Played, tmp_path: Path) -> None:
    engine = Engine(tove.opened, tmp_path)
    for step in (9, 4, 9):
        found = engine.screen(tove.asked[step]["events"], now=tove.asked[step]["now"])
        assert same(found, tove.answers[step])


def test_what_the_page_says_of_its_session_stands_for_what_the_server_knew(tove: Played, tmp_path: Path) -> None:
    later = {**tove.opened, "events": [*tove.opened["events"], *tove.asked[9]["events"]]}
    engine = Engine(later, tmp_path)
    found = engine.screen(tove.asked[2]["events"], now=tove.asked[2]["now"])
    assert same(found, tove.answers[2])


def test_a_session_that_nobody_began_is_refused(tove: Played, tmp_path: Path) -> None:
    with pytest.raises(UnknownName):
        Engine(tove.opened, tmp_path).screen([])


def test_an_event_that_can_not_be_read_is_refused(tove: Played, tmp_path: Path) -> None:
    broken = tove.asked[1]["events"][-1] | {"kind": "set-dreamt"}
    with pytest.raises(DamagedJournal, match="set-dreamt"):
        Engine(tove.opened, tmp_path).screen([*tove.asked[0]["events"], broken])


@pytest.mark.parametrize("name", ["../away.toml", "/etc/away.toml"])
def test_no_file_is_written_outside_of_the_home(tove: Played, tmp_path: Path, name: str) -> None:
    with pytest.raises(OutOfRange, match="a path inside the home folder"):
        Engine(tove.opened | {"files": {name: ""}}, tmp_path / "home")


def test_the_desk_answers_in_words_what_it_can_not_do(tove: Played, tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    assert "before anything was opened" in json.loads(desk.answer('{"events": []}'))["refused"]
    assert json.loads(desk.answer(json.dumps({"open": tove.opened}))) == {"sessions": tove.opened["sessions"]}
    assert "session" in json.loads(desk.answer('{"events": []}'))["refused"]
    assert same(json.loads(desk.answer(json.dumps(tove.asked[3])))["screen"], tove.answers[3])


def test_laws_are_read_back_to_the_last_digit(steelyard: Steelyard) -> None:
    gym = steelyard.gym
    laws = read_laws(gym.machine, json.loads(json.dumps(plain_laws(gym))))
    for (station, one_arm), law in laws.items():
        known = gym.law(gym.machine.stations[station], one_arm=one_arm)
        assert (law, law.lowering) == (known, known.lowering)


def test_the_page_needs_nothing_of_other_people_but_what_hangs_on_the_horns(steelyard: Steelyard) -> None:
    lately = steelyard.log_loose("marek", "lever_row_chest", {}, 8, rir=2)
    session = steelyard.start_session("tove", "pull")
    undone = steelyard.delete(steelyard.log_loose("tove", "lever_row_chest", {}, 8, rir=2))
    found = {event.id: event for event in needed(steelyard, {"tove"})}
    others = [event for event in found.values() if getattr(event.body, "lifter", "tove") != "tove"]
    assert [event.id for event in others] == [lately]
    assert isinstance(found[undone].body, EventDeleted)
    assert session in found


def test_supposing_leaves_everything_as_it_was(steelyard: Steelyard) -> None:
    session = steelyard.start_session("tove", "pull")
    before, revision = steelyard.session(session), steelyard.revision
    other = steelyard.supposing(steelyard.events)
    log_set(other, session, before.prepared.sets[0].slot, 5)
    assert len(other.session(session).session.sets) == 1
    assert (steelyard.session(session), steelyard.revision) == (before, revision)
    assert isinstance(other._journal, MemoryJournal)


def test_a_fresh_steelyard_prepares_what_a_long_lived_one_does(machine: Played, tmp_path: Path) -> None:
    kept = Engine(machine.opened, tmp_path / "kept")
    for number, asked in enumerate(machine.asked[::3]):
        anew = Engine(machine.opened, tmp_path / str(number))
        assert kept.screen(asked["events"], now=asked["now"]) == anew.screen(asked["events"], now=asked["now"])


def test_the_archive_is_the_same_bytes_every_time() -> None:
    first = served.archive()
    served.archive.cache_clear()
    assert served.archive() == first


def test_a_module_that_changed_since_it_was_compiled_is_sent_as_its_source(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source = (served.PACKAGE / "units.py").read_bytes()
    marks = {"steelyard/units.pyc": source, "steelyard/errors.pyc": b"as it was"}
    packed = BytesIO()
    with ZipFile(packed, "w") as compiled:
        for name, of in marks.items():
            compiled.writestr(name, bytes(8) + sha256(of).digest()[:8])
    (tmp_path / "compiled.zip.gz").write_bytes(gzip.compress(packed.getvalue()))
    monkeypatch.setattr(served, "COMPILED", tmp_path / "compiled.zip.gz")
    with ZipFile(BytesIO(served.archive.__wrapped__())) as found:
        names = set(found.namelist())
    assert {"steelyard/units.pyc", "steelyard/errors.py"} < names
    assert not {"steelyard/units.py", "steelyard/errors.pyc"} & names


ALONE = """
import sys
class Refusing:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in {others!r}:
            raise ImportError(name)
sys.meta_path.insert(0, Refusing())
sys.path[:0] = [{archive!r}]
import importlib
for name in {names!r}:
    importlib.import_module(name)
assert sys.modules["steelyard"].__file__.startswith({archive!r})
"""
OTHERS = ("msgspec", "jinja2", "starlette", "uvicorn", "markupsafe", "numpy", "scipy", "cryptography", "tomli_w")


def test_every_module_in_the_archive_imports_with_the_standard_library_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(served, "COMPILED", tmp_path / "none")  # this Python reads sources only
    archive = tmp_path / "steelyard.zip"
    archive.write_bytes(served.archive.__wrapped__())
    with ZipFile(archive) as found:
        names = [name[:-3].replace("/", ".") for name in found.namelist() if name.endswith(".py")]
    code = ALONE.format(
        others=OTHERS, archive=str(archive), names=[name.removesuffix(".__init__") for name in names]
    )
    ran = subprocess.run([sys.executable, "-I", "-c", code], capture_output=True, text=True, check=False)
    assert ran.stderr == ""


@pytest.fixture
def client(steelyard: Steelyard) -> Iterator[TestClient]:
    with TestClient(make_app(steelyard), raise_server_exceptions=False) as opened:
        yield opened


def test_files_are_sent_compressed_and_kept(client: TestClient) -> None:
    urls = served.engine_urls()
    for url in (urls["package"], f"{urls['pyodide']}pyodide.mjs", f"{urls['pyodide']}pyodide.asm.wasm"):
        answer = client.get(url)
        assert answer.headers["content-encoding"] == "gzip"
        assert "immutable" in answer.headers["cache-control"]


def test_a_client_that_can_not_unpack_gets_them_unpacked(client: TestClient) -> None:
    url = f"{served.engine_urls()['pyodide']}pyodide.asm.wasm"
    answer = client.get(url, headers={"accept-encoding": "identity"})
    assert "content-encoding" not in answer.headers
    assert answer.content[:4] == b"\0asm"
    assert answer.headers["content-type"] == "application/wasm"


def test_another_name_is_not_found_and_an_older_version_is_not_kept(client: TestClient) -> None:
    assert client.get(f"/engine/{served.version()}/passwd").status_code == 404
    assert "immutable" not in client.get("/engine/older/pyodide.mjs").headers["cache-control"]


def test_only_the_worker_may_compile(client: TestClient) -> None:
    worker = client.get("/static/any/worker.js").headers["content-security-policy"]
    assert "'wasm-unsafe-eval'" in worker
    assert "'unsafe-eval'" not in worker
    others = ("/cautions", "/static/any/engine.js", served.engine_urls()["pyodide"] + "pyodide.mjs")
    assert all("unsafe" not in client.get(url).headers["content-security-policy"] for url in others)


def test_the_engine_can_be_opened_from_what_is_served(
    client: TestClient, steelyard: Steelyard, tmp_path: Path
) -> None:
    session = steelyard.start_session("tove", "pull")
    opened: dict[str, Any] = client.get(f"/session/{session}/engine").json()
    assert opened.pop("around")
    assert same(opened, opening(steelyard, (session,)))
    assert Engine(opened, tmp_path / "page").sessions == (session,)


def test_a_session_that_is_not_known_can_not_be_opened(client: TestClient) -> None:
    assert client.get("/session/nobodys/engine").status_code == 404
