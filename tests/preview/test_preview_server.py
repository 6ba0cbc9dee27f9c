"""Who gets an answer from the preview, and what is in it: asked over a socket as any program on the machine could."""

from __future__ import annotations

import http.client
import json
import socket
import threading
import time
from contextlib import contextmanager
from dataclasses import replace
from pathlib import PurePath

import html5lib
import pytest
from hostile_names import HOSTILE, as_shown

from diagramgen.features.preview import server as server_module
from diagramgen.features.preview.drawn import SoundTable
from diagramgen.features.preview.page import MOST_LINES, MOST_PROBLEMS, change, whole_page
from diagramgen.features.preview.redraw import Picture, Shown
from diagramgen.features.preview.server import HOST, Board, Server
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Location, Problem
from diagramgen.model.coil_expression import NOTATION_KEY
from diagramgen.writers.markup import Markup


@contextmanager
def served(shown=None):
    board = Board(shown if shown is not None else Shown("my.yaml"))
    server = Server(board)
    thread = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        yield server, board
    finally:
        board.end()
        server.shutdown()
        server.server_close()
        thread.join(5)
        assert not thread.is_alive()


@pytest.fixture
def server():
    with served() as (found, _):
        yield found


def ask(server, path, method="GET", **headers):
    """Status, headers and body."""
    link = http.client.HTTPConnection(HOST, server.server_address[1], timeout=30)
    link.request(method, path, headers={k.replace("_", "-"): v for k, v in headers.items()})
    answer = link.getresponse()
    body = answer.read()
    link.close()
    return answer.status, dict(answer.getheaders()), body


def test_only_the_loopback_is_listened_to(server):
    assert server.socket.getsockname()[0] == "127.0.0.1"
    assert server.url.startswith("http://127.0.0.1:")


def test_the_word_in_the_address_is_long_and_never_twice_the_same(server):
    """144 bits, RFC 6749 section 10.10 asks for 128 at least of a token nobody may guess."""
    with served() as (other, _):
        assert other.token != server.token
    assert len(server.token) >= 22


@pytest.mark.parametrize("path", ["/", "/x/", "/next?have=0", "//", "/%2e%2e/", "/regular.ttf", "/favicon.ico"])
def test_without_the_word_nothing_is_told(server, path):
    status, _, body = ask(server, path)
    assert status == 403
    assert server.token.encode() not in body


@pytest.mark.parametrize("path", [b"/\xc3\xa9/", b"/\xff\xfe/", b"/\0/", b"http://evil.example/", b"*", b"?" * 300])
def test_an_odd_address_is_refused_like_any_other(server, path):
    with socket.create_connection((HOST, server.server_address[1]), timeout=30) as link:
        link.sendall(b"GET " + path + b" HTTP/1.0\r\nHost: 127.0.0.1:%d\r\n\r\n" % server.server_address[1])
        assert link.makefile("rb").readline().split()[1] == b"403"


def test_part_of_the_word_is_not_the_word(server):
    for token in (server.token[:-1], server.token + "x", server.token.swapcase(), server.token[::-1]):
        assert ask(server, f"/{token}/")[0] == 403


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost.evil.example", "", "[::1]"])
def test_a_name_pointed_at_this_machine_is_refused(server, host):
    """DNS rebinding: the page of another site reaches the port under its own name."""
    assert ask(server, f"/{server.token}/", Host=host)[0] == 403


def test_the_machines_own_names_are_let_in(server):
    port = server.server_address[1]
    for host in (f"127.0.0.1:{port}", f"localhost:{port}", f"LOCALHOST:{port}"):
        assert ask(server, f"/{server.token}/", Host=host)[0] == 200


@pytest.mark.parametrize("headers", [{"Origin": "http://evil.example"}, {"Origin": "null"},
                                     {"Sec_Fetch_Site": "cross-site"}, {"Sec_Fetch_Site": "same-site"}])
def test_another_page_that_knows_the_word_is_refused(server, headers):
    assert ask(server, f"/{server.token}/next?have=0", **headers)[0] == 403


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS"])
def test_nothing_can_be_sent(server, method):
    assert ask(server, f"/{server.token}/", method)[0] == 405


@pytest.mark.parametrize("name", ["..", "../my.yaml", "%2e%2e/my.yaml", "my.yaml", "preview.js", "regular.ttf/x"])
def test_no_file_of_the_disk_is_served_but_the_two_fonts(server, name):
    assert ask(server, f"/{server.token}/{name}")[0] == 404
    assert ask(server, f"/{server.token}/regular.ttf")[2][:4] == b"\0\1\0\0"


def test_every_answer_forbids_frames_guessing_keeping_and_asking_elsewhere(server):
    for path in ("/", f"/{server.token}/", f"/{server.token}/bold.ttf", f"/{server.token}/none"):
        _, headers, _ = ask(server, path)
        assert headers["Cache-Control"] == "no-store"
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["X-Frame-Options"] == "DENY"
        assert headers["Referrer-Policy"] == "no-referrer"
        rules = dict(rule.strip().split(" ", 1) for rule in headers["Content-Security-Policy"].split(";"))
        assert rules["default-src"] == "'none'"
        assert rules["connect-src"] == rules["font-src"] == "'self'"
        assert rules["frame-ancestors"] == "'none'"
        assert rules["script-src"].startswith("'sha256-")
        assert rules["style-src"].startswith("'sha256-")
        assert "Python" not in headers["Server"]


def test_the_address_without_its_last_stroke_leads_to_the_page(server):
    status, headers, _ = ask(server, f"/{server.token}")
    assert (status, headers["Location"]) == (308, f"/{server.token}/")


def test_head_gives_the_length_and_no_body(server):
    status, headers, body = ask(server, f"/{server.token}/", "HEAD")
    assert (status, body) == (200, b"")
    assert int(headers["Content-Length"]) > 1000


def test_a_question_waits_for_news_and_gets_them_at_once():
    with served() as (server, board):
        answers = []
        waiting = threading.Thread(
            target=lambda: answers.append(json.loads(ask(server, f"/{server.token}/next?have=0")[2])))
        waiting.start()
        time.sleep(0.3)
        assert answers == []
        board.hang(Shown("my.yaml", title="second", count=1))
        waiting.join(10)
        assert answers[0]["version"] == 1
        assert "second" in answers[0]["parts"]["head"]


def test_who_has_seen_less_is_answered_without_waiting_and_odd_numbers_count_as_nothing(server):
    for have in ("-1", "", "x", "99999999999999999999", "7", "%00"):
        assert json.loads(ask(server, f"/{server.token}/next?have={have}")[2])["version"] == 0


def test_whoever_waits_is_told_when_it_ends():
    answers = []
    with served() as (server, _):
        waiting = threading.Thread(target=lambda: answers.append(ask(server, f"/{server.token}/next?have=0")[2]))
        waiting.start()
        time.sleep(0.2)
    waiting.join(10)
    assert json.loads(answers[0]) == {"ended": True}


def test_a_line_of_rubbish_and_a_silent_caller_do_not_keep_others_from_an_answer(server, capfd):
    silent = socket.create_connection((HOST, server.server_address[1]))
    rude = socket.create_connection((HOST, server.server_address[1]))
    rude.sendall(b"\x16\x03\x01\0\xff" + b"A" * 70_000 + b"\r\n\r\n")
    assert ask(server, f"/{server.token}/")[0] == 200
    silent.close()
    rude.close()
    time.sleep(0.1)
    assert capfd.readouterr().err == ""


BAD = "</script><img src=x onerror=alert(1)>\"'`&amp;\u2028]]>"


def wrong(count=1, file="my.yaml", bad=BAD):
    return tuple(Problem("INP-101", Severity.ERROR, Location(file, n % 3 + 1, 2), f"{bad} {n}", bad)
                 for n in range(count))


def all_hostile(bad=BAD):
    picture = Picture(Markup("<svg></svg>"), 100.0, bad, bad, {f"lead:{bad}": 1})
    table = SoundTable(bad, (bad, bad), ((bad, bad),))
    texts = (("my.yaml", (bad, "", bad)), (bad, ("x",)))
    return Shown("my.yaml", bad, bad, bad, wrong(bad=bad), texts, False, picture, picture, table, "old",
                 False, 3, bad)


@pytest.mark.parametrize("shown", [
    all_hostile(), replace(all_hostile(), problems=()), replace(all_hostile(), solving=True, problems=()),
    replace(all_hostile(), drawn=None), replace(all_hostile(), good=None), replace(all_hostile(), texts=())])
def test_texts_of_a_file_stay_texts_in_page_and_change(shown):
    page = whole_page(shown, 1).decode()
    parsed = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
    made = json.loads(change(shown, 1))
    for part in (parsed, *(html5lib.parseFragment(p, namespaceHTMLElements=False) for p in made["parts"].values())):
        found = {node.tag for node in part.iter() if isinstance(node.tag, str)}
        assert "img" not in found
        assert not any(key.startswith("on") for node in part.iter() for key in node.attrib)
    assert sum(1 for node in parsed.iter("script")) == 1
    assert "alert(1)" in "".join(parsed.itertext()) or not shown.problems


def elements(page):
    """Names of all elements with those of their attributes, as a browser finds them."""
    tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
    return tree, [(node.tag, sorted(node.attrib)) for node in tree.iter() if isinstance(node.tag, str)]


@pytest.mark.parametrize("bad", HOSTILE)
def test_no_name_in_a_file_and_no_name_of_a_file_adds_an_element_or_an_attribute(bad):
    plain, worse = (replace(all_hostile(name), file=f"{name}.yaml") for name in ("plain", bad))
    wanted = elements(whole_page(plain, 1).decode())[1]
    tree, found = elements(whole_page(worse, 1).decode())
    assert found == wanted
    assert "".join(tree.find(".//h1").itertext()) == as_shown(bad)
    assert as_shown(PurePath(f"{bad}.yaml").name) in "".join(tree.find(".//title").itertext())
    assert as_shown(bad) in ["".join(node.itertext()) for node in tree.iter("code")]
    parts, plain_parts = (json.loads(change(shown, 1))["parts"] for shown in (worse, plain))
    for name, part in parts.items():
        tags = [[node.tag for node in html5lib.parseFragment(text, namespaceHTMLElements=False).iter()]
                for text in (part, plain_parts[name])]
        assert tags[0] == tags[1], name


def test_an_old_diagram_says_so_and_the_saved_one_is_shown_only_on_request():
    parts = json.loads(change(replace(all_hostile(), fault="", title="x"), 1))["parts"]
    assert "OLD: drawn from an earlier save" in parts["wiring"]
    assert parts["wiring"].index("<details>") < parts["wiring"].index('id="diagram"')
    assert 'id="saved"' in parts["wiring"]
    good = json.loads(change(replace(all_hostile(), problems=()), 1))["parts"]
    assert "OLD" not in good["wiring"]
    assert "<details" not in good["wiring"]


def test_a_problem_leads_to_its_line_and_the_line_says_what_it_is():
    page = html5lib.parse(whole_page(all_hostile(), 1).decode(), namespaceHTMLElements=False)
    (link,) = page.findall(".//a")
    ids = [node.get("id") for node in page.iter() if node.get("id")]
    assert len(set(ids)) == len(ids)
    (line,) = (node for node in page.iter("li") if node.get("id") == link.get("href")[1:])
    assert line.get("class") == "error"
    assert "".join(line.itertext()).startswith("error: ")


def test_a_file_of_many_lines_and_many_problems_is_shown_in_part_and_says_so():
    lines = tuple(f"line {n}" for n in range(MOST_LINES + 50))
    many = Shown("my.yaml", problems=wrong(MOST_PROBLEMS + 7), texts=(("my.yaml", lines),), count=1)
    page = whole_page(many, 1).decode()
    assert "50 more lines are not shown" in page
    assert "and 7 more" in page
    beyond = replace(many, problems=(Problem("INP-101", Severity.ERROR, Location("my.yaml", MOST_LINES + 9), "far"),))
    assert "<a " not in whole_page(beyond, 1).decode()


def test_the_signs_of_a_connection_of_coils_are_told_where_a_problem_has_them_and_only_there():
    said = Problem("CIR-301", Severity.ERROR, Location("my.yaml", 1), "wanted neck.a + neck.b, gives neck.a || neck.b")
    assert f"Coils: {NOTATION_KEY}." in whole_page(Shown("my.yaml", problems=(said,), count=1), 1).decode()
    plain = replace(said, message="wanted the neck alone")
    assert NOTATION_KEY not in whole_page(Shown("my.yaml", problems=(plain,), count=1), 1).decode()


def test_at_the_end_it_is_waited_until_a_question_that_waits_has_its_answer():
    with served() as (server, board):
        told = []
        asker = threading.Thread(target=lambda: told.append(json.loads(ask(server, f"/{server.token}/next?have=0")[2])))
        asker.start()
        until = time.monotonic() + 20
        while board.all_told(0.01):
            assert time.monotonic() < until, "the question is not heard"
        assert not told
        board.end()
        assert board.all_told(20)
        asker.join(20)
        assert told == [{"ended": True}]


def test_a_page_too_many_waits_a_little_as_well_instead_of_asking_without_a_pause(monkeypatch):
    monkeypatch.setattr(server_module, "WAITING", 0)
    monkeypatch.setattr(server_module, "SHORT", 0.3)
    board = Board(Shown("a.yaml"))
    begin = time.monotonic()
    assert board.after(0, 20.0) is not None
    assert 0.25 < time.monotonic() - begin < 5
