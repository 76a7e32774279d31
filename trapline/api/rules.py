"""Who may call a view. A view that states nothing answers nobody."""

from typing import Any

from rest_framework.permissions import BasePermission
from rest_framework.request import Request


class Nobody(BasePermission):
    """The default: refused, so that a forgotten rule shows in the permission table test."""

    def has_permission(self, request: Request, view: Any) -> bool:
        return False
