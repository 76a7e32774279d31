"""Tokens: sent as `Authorization: Bearer …` (RFC 6750), stored as a hash, one statement a call."""

from typing import Any

from django.utils import timezone
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from knox.auth import TokenAuthentication
from rest_framework.exceptions import AuthenticationFailed


class Bearer(TokenAuthentication):  # type: ignore[misc]
    """Knox's authentication, less the statement with which it looks for expired tokens."""

    def authenticate_credentials(self, token: bytes) -> tuple[Any, Any]:
        try:
            token.decode("ascii")
        except UnicodeDecodeError:
            raise AuthenticationFailed from None
        found: tuple[Any, Any] = super().authenticate_credentials(token)
        return found

    def _cleanup_token(self, auth_token: Any) -> bool:
        return auth_token.expiry is not None and auth_token.expiry < timezone.now()


class BearerScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    """How the schema names it."""

    target_class = Bearer
    name = "token"

    def get_security_definition(self, auto_schema: Any) -> dict[str, Any]:
        return {"type": "http", "scheme": "bearer", "description": "From sign-in/."}
