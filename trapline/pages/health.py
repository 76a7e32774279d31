"""The answer for whoever watches the process: a supervisor, a proxy, a container."""

from django.http import HttpRequest, HttpResponse

from trapline.pages.guard import OPEN, page
from trapline.people.models import Team


@page(OPEN)
def healthz(request: HttpRequest) -> HttpResponse:
    """200 when this process and the database answer. Redis may be lost: nothing waits on it."""
    Team.objects.exists()
    return HttpResponse("ok\n", content_type="text/plain")
