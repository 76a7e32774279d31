"""Where one running Lineward keeps its things.

A place is a folder with the cluster, Redis' files, uploads and logs, and a short
folder for the sockets. `demo`, `test` and `dev` lie in the checkout's `.local/`;
`run` lies outside it, because that data must survive the checkout.
"""

import hashlib
import os
import shutil
from dataclasses import dataclass
from pathlib import Path

from tools.say import Refusal
from tools.shell import Account, run, service_account

CHECKOUT = Path(__file__).resolve().parent.parent
LOCAL = CHECKOUT / ".local"
DURABLE = ("demo", "bench")  # a bench measures what a server would do
LONGEST_PATH = 80  # bytes; beyond it a tool that joins names to a socket or log path may break


@dataclass(frozen=True)
class Place:
    """One set of private services and its files. All paths are absolute."""

    name: str
    home: Path
    sockets: Path
    account: Account | None
    fast: bool = False  # a crash of the machine may lose this data
    tests: bool = False  # the owner may make databases

    @property
    def data(self) -> Path:
        return self.home / "pg"

    @property
    def log(self) -> Path:
        return self.home / "log"

    @property
    def mark(self) -> str:
        """A name no other place has: it is in the environment of every process started here."""
        return self.sockets.name

    def make(self) -> None:
        """Create the folders with the right owners; harmless when they exist."""
        try:
            self.home.mkdir(parents=True, exist_ok=True)
            # The service account passes through; it cannot list or write.
            self.home.chmod(0o711 if self.account else 0o700)
            self._own(self.log)
            for name in ("media", "mail"):
                (self.home / name).mkdir(mode=0o700, exist_ok=True)
        except PermissionError as error:
            raise Refusal(
                f"You may not write in {error.filename}. Call make as the user who owns that "
                "folder, or give it to yourself with: sudo chown -R $(id -un) <folder>"
            ) from None
        self._own(self.sockets)
        owner = self.account.uid if self.account else os.geteuid()
        found = self.sockets.stat(follow_symlinks=False)
        if self.sockets.is_symlink() or found.st_uid != owner:
            raise Refusal(
                f"{self.sockets} belongs to another user, so the private sockets cannot be kept "
                "private there. Remove it (or ask its owner to), then start again."
            )

    def _own(self, folder: Path) -> None:
        folder.mkdir(mode=0o700, exist_ok=True)
        if self.account and not folder.is_symlink():
            os.chown(folder, self.account.uid, self.account.gid)
            folder.chmod(0o700)

    def erase(self) -> None:
        """Remove the place's files; its services must be stopped."""
        shutil.rmtree(self.home, ignore_errors=True)
        shutil.rmtree(self.sockets, ignore_errors=True)


def sockets_for(home: Path) -> Path:
    """A short folder for the sockets of `home`: a socket's path may have 107 bytes."""
    digest = hashlib.sha256(os.fsencode(home)).hexdigest()[:10]
    return Path("/tmp") / f"lw-{digest}"  # noqa: S108 - made 0700 and its owner is checked


def local_place(name: str) -> Place:
    """A place of this checkout: `demo`, `test`, or a developer's own."""
    account = service_account()
    link = LOCAL / name
    LOCAL.mkdir(exist_ok=True)
    home = link
    if account is not None and not _reachable(link, account):
        digest = hashlib.sha256(os.fsencode(link)).hexdigest()[:10]
        home = Path("/var/lib") / f"lineward-{digest}"
        if not link.is_symlink():
            if link.exists():  # the folder was open before
                shutil.move(link, home)
            link.symlink_to(home)
    return Place(
        name, home, sockets_for(home), account, fast=name not in DURABLE, tests=name != "demo"
    )


def own_place() -> Place:
    """The place of `make run`: real data, outside the checkout."""
    account = service_account()
    usual = "/var/lib/lineward" if account else "~/.local/share/lineward"
    home = Path(os.environ.get("LINEWARD_HOME") or usual).expanduser().absolute()
    if account is not None and not _reachable(home, account):
        raise Refusal(
            f"PostgreSQL runs as `{account.name}` when root calls, and that account cannot enter "
            f"{home}. Set LINEWARD_HOME to a folder that others may pass through, for example "
            "/var/lib/lineward, or call make as an ordinary user."
        )
    return Place("run", home, sockets_for(home), account)


def _reachable(folder: Path, account: Account) -> bool:
    """Can the account get to `folder`, and is the path short enough for every tool?"""
    if len(os.fsencode(folder)) > LONGEST_PATH:
        return False
    ancestor = next(parent for parent in folder.parents if parent.exists())
    return run(["test", "-x", ancestor], account=account).returncode == 0
