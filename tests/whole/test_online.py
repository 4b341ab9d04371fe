"""From nothing to on-line by the commands alone: SFTP to an OpenSSH server, served by nginx with https, asked back."""

import re
import shutil
import subprocess

import pytest
import smallshop
from commandline import passport
from servers import HERE, free_port, sshd, user
from webserver import nginx

from passport.records.ledger import ledger

MAIN = smallshop.KEYS["main"]


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """A workshop whose site is to stand at an https address on this computer; its port."""
    port = free_port()
    content = smallshop.write(tmp_path / "content")
    text = (content / "workshop.yaml").read_text(encoding="utf-8")
    moved = text.replace("https://cards.bench-nine.example/p", f"https://localhost:{port}")
    (content / "workshop.yaml").write_text(moved, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return content, port


def done(*arguments, code=0):
    """A command that ends with this code; what it said."""
    result = passport(*arguments)
    assert result.exit_code == code, result.output
    return result.output


def put_online(content):
    """Build and publish."""
    done("build", content, "--out", "site", "--no-cards")
    return done("publish", content, "--delete", "20")


def test_published_verified_changed_erased_and_restored(shop, tmp_path, monkeypatch):
    """The whole way: published and verified; a lost frame and an erased player published and proven so; an older backup
    learns from the web what was given out since; without any backup the site tells what is public."""
    content, port = shop
    web = tmp_path / "web"
    web.mkdir()
    with sshd(tmp_path / "ssh") as ssh, nginx(tmp_path / "nginx", content, web, port) as cert:
        monkeypatch.setenv("SSL_CERT_FILE", str(cert))
        to = f"sftp://{user()}@{HERE}:{ssh.port}{web}"
        with (content / "workshop.yaml").open("a", encoding="utf-8") as file:
            file.write(f'publish: {{to: "{to}", key: {ssh.key}, fingerprint: "{ssh.fingerprint}"}}\n')
        assert "to '" in put_online(content)
        done("backup", content, "--out", tmp_path / "old.zip")
        assert "nothing wrong" in _without_the_certificate(done("verify", content, "--all", code=1))
        assert "up to date" in done("publish", content)
        # one changed: lost, and only then is the web behind
        done("lost", content, smallshop.NUMBERS["main"], "--yes")
        assert "Note: The records changed after" in done("verify", content, code=1)
        done("build", content, "--out", "site", "--no-cards")
        said = done("verify", content, code=1)
        assert "the site on-line is another build" in said
        assert f"'setup-{smallshop.NUMBERS['main']}.json'" in said
        put_online(content)
        assert "nothing wrong" in _without_the_certificate(done("verify", content, "--all", code=1))
        # one erased, and proven gone
        frames = len(ledger.read(content).issued)
        done("erase", content, "ada", "--yes", "--site", "site")
        number = smallshop.NUMBERS["main"]
        assert f"Passport {number} is closed for good, and the site was built before" in done("verify", content, code=1)
        put_online(content)
        said = done("verify", content, "--all", code=1)
        assert re.search(r"(\d+) closed for good and proven so", _without_the_certificate(said))
        (web / MAIN / "photo.jpg").write_bytes(b"left over")
        assert "should be gone, and is still served" in done("verify", content, code=1)
        (web / MAIN / "photo.jpg").unlink()
        # the backup of before knows nothing of the erasing; the web does
        said = done("restore", tmp_path / "old.zip", "back", "--site", f"https://localhost:{port}", code=1)
        assert "closed for good" in said
        assert frames
        key = (content / "manifest-key.txt").read_text(encoding="utf-8").split()[-1]
        shutil.rmtree("site")
        said = done("restore", "regained", "--from-site", f"https://localhost:{port}", "--key", key)
        assert "with their setups" in said


def test_on_a_host_of_pages(shop, tmp_path, monkeypatch):
    """A repository whose branch is served as it is pushed: published, one frame lost, each verified; no history is kept."""
    content, port = shop
    web, cards = tmp_path / "web", tmp_path / "cards.git"
    web.mkdir()
    subprocess.run(["git", "init", "--quiet", "--bare", str(cards)], check=True)
    hook = cards / "hooks/post-receive"
    hook.write_text(f"#!/bin/sh\nrm -rf {web}/* && git archive pages | tar -x -C {web}\n")
    hook.chmod(0o755)
    with (content / "workshop.yaml").open("a", encoding="utf-8") as file:
        file.write(f"publish: git+file://{cards}\n")
    with nginx(tmp_path / "nginx", content, web, port) as cert:
        monkeypatch.setenv("SSL_CERT_FILE", str(cert))
        put_online(content)
        assert "nothing wrong" in _without_the_certificate(done("verify", content, "--all", code=1))
        done("lost", content, smallshop.NUMBERS["main"], "--yes")
        done("publish", content, "--build")
        assert "nothing wrong" in _without_the_certificate(done("verify", content, "--all", code=1))
        assert not list((web / MAIN).glob("setup-*.json"))
    log = subprocess.run(["git", f"--git-dir={cards}", "log", "--oneline", "pages"], check=True, capture_output=True)
    assert log.stdout.count(b"\n") == 1


def _without_the_certificate(said):
    """What was said, but for the test's own certificate, which lasts two days; nothing else may be wrong."""
    assert said.count("Wrong: ") == 1
    assert "Wrong: The certificate of localhost ends" in said
    return said.replace("1 thing wrong", "nothing wrong")
