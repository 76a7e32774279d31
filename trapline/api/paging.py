"""Lists are paged by key: UUIDv7 keys sort by time of making, so a page never shifts."""

from rest_framework.pagination import CursorPagination


class ByKey(CursorPagination):
    """A cursor over the row's key."""

    ordering = "-id"
    page_size = 100
    max_page_size = 500
    page_size_query_param = "limit"
