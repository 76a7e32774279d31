"""The worker's list, the manifest, the icons."""

import json
import re
from pathlib import Path

import pytest
from django.test import Client
from PIL import Image

from tools.icons import main
from trapline.phone import files

STATIC = Path(__file__).parents[2] / "static" / "phone"


def listed() -> dict[str, object]:
    text = Client().get("/sw.js").content.decode()
    found = re.search(r"const KEPT = (\{.*?\});", text, re.S)
    assert found
    made: dict[str, object] = json.loads(found[1])
    return made


def test_the_worker_keeps_every_script_that_the_page_loads() -> None:
    kept = listed()["files"]
    assert isinstance(kept, list)
    plain = {re.sub(r"\.[0-9a-f]{12}\.", ".", one) for one in kept}
    for path in STATIC.glob("*.js"):
        for name in re.findall(r'(?:from |import\()"\./([\w.]+)"', path.read_text()):
            assert f"/static/phone/{name}" in plain
    assert kept == files.kept_files()


def test_the_page_names_just_what_the_first_screen_runs() -> None:
    found, asked = set(), ["app"]
    while asked:
        name = asked.pop()
        found.add(name)
        said = re.findall(r'from "\./([\w.]+)\.js"', (STATIC / f"{name}.js").read_text())
        asked += [one for one in said if one not in found]
    assert found == set(files.FIRST)


def test_a_changed_file_is_a_new_version(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = files.version()
    assert before == files.version() == listed()["version"]
    monkeypatch.setattr(files, "HERE", tmp_path)
    (tmp_path / "words.py").write_text("# other words")
    assert files.version() != before


def test_the_worker_is_asked_for_each_time_and_may_keep_the_whole_site() -> None:
    answer = Client().get("/sw.js")
    assert answer["Service-Worker-Allowed"] == "/"
    assert "no-cache" in answer["Cache-Control"]
    assert answer["Content-Type"].startswith("text/javascript")


def test_the_manifest_has_what_an_installation_asks_for() -> None:
    """Members of the W3C Web Application Manifest, and the icon sizes that Chromium installs by."""
    said = json.loads(Client().get("/phone/app.webmanifest").content)
    assert said["start_url"] == "/phone/"
    assert said["display"] == "standalone"
    sizes = {one["sizes"] for one in said["icons"] if one["type"] == "image/png"}
    assert {"192x192", "512x512"} <= sizes


def test_the_icons_are_drawn_by_our_own_code(tmp_path: Path) -> None:
    main(tmp_path)
    for name in ("icon-192.png", "icon-512.png", "icon-mask.png"):
        drawn, lying = Image.open(tmp_path / name), Image.open(STATIC / name)
        assert drawn.convert("RGB").tobytes() == lying.convert("RGB").tobytes()
