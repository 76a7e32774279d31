"""The bounds over HTTP: a signed-in view that does one INSERT and one UPDATE; an empty page."""

import json

from django.contrib.auth.decorators import login_required
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import include, path
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from tests.bench.measure import bound_sql


class BareCheck(APIView):
    """Signed in by the same token; one INSERT into checks, one UPDATE of the duty, no more."""

    permission_classes = (IsAuthenticated,)

    def post(self, request: Request) -> Response:
        values = json.loads(request.body)
        with connection.cursor() as cursor:
            cursor.execute(bound_sql("bare_check"), values)
            cursor.execute(bound_sql("bare_duty"), values)
        return Response({"check": values["check"]}, status=201)


@login_required
def empty(request: HttpRequest) -> HttpResponse:
    """The base template with the same session and an empty body."""
    return render(request, "base.html")


urlpatterns = [
    path("bare/check/", BareCheck.as_view()),
    path("bare/empty/", empty),
    path("", include("trapline.urls")),
]
