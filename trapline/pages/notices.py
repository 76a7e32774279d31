"""The outbox of notices with their states, and the mails a demo writes to files."""

import email
import email.policy
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from trapline.duties.selectors import notices as notices_of
from trapline.ground.clock import now
from trapline.pages.guard import ANYONE_IN_TEAM, MANAGES, team_page
from trapline.pages.today import only_own
from trapline.people.rights import Actor
from trapline.people.selectors import addresses_of

MOST, MOST_MAILS = 200, 50


@dataclass(frozen=True)
class Mail:
    """A mail that the file backend wrote."""

    to: str
    subject: str
    sent: str
    text: str


@team_page(ANYONE_IN_TEAM)
def notices(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Notices, the latest first; a member sees their own. One statement beside the guard's."""
    shown = {
        "notices": notices_of(actor.team, only_own(actor), MOST),
        "moment": now(),
        "most": MOST,
        "mails": bool(settings.EMAIL_FILE_PATH) and actor.manages,
    }
    return render(request, "notices.html", shown)


@team_page(MANAGES)
def mails(request: HttpRequest, actor: Actor) -> HttpResponse:
    """The mails written to files, where the server does so: those to this team's people only."""
    own = addresses_of(actor.team)
    folder = Path(settings.EMAIL_FILE_PATH) if settings.EMAIL_FILE_PATH else None
    found = _mails(folder, own) if folder is not None and folder.is_dir() else []
    return render(request, "mails.html", {"mails": found, "folder": folder is not None})


def _mails(folder: Path, own: set[str]) -> list[Mail]:
    files = sorted(folder.glob("*.log"), key=lambda file: file.stat().st_mtime, reverse=True)
    found: list[Mail] = []
    for file in files[:MOST_MAILS]:
        for raw in file.read_bytes().split(b"-" * 79 + b"\n"):
            if not raw.strip():
                continue
            mail = email.message_from_bytes(raw, policy=email.policy.default)
            if str(mail["To"]).lower() in own:
                body = mail.get_body(("plain",))
                text = body.get_content() if body is not None else ""
                found.append(Mail(str(mail["To"]), str(mail["Subject"]), str(mail["Date"]), text))
    return found
