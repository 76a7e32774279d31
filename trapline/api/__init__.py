"""REST and sync, below /api/v1/.

Signing in. `POST sign-in/` gives a token once; send it as `Authorization: Bearer …`. The session of
the pages works too, with its CSRF token. Tokens are listed and revoked at `tokens/`.

Reading. Every noun of a team is a list below `teams/<team>/`, newest first, with a cursor in `next`
and `previous` and `limit` rows on a page. A parameter that an address does not take is refused,
not ignored. Whatever has a place (lines, sets, checks, waitings, zones, features, permissions) is
GeoJSON (RFC 7946): a list is a FeatureCollection, a row a Feature, and a place that is not known a
null geometry. A member sees the sets they look after; what is not theirs and what is not there
answer alike.

Writing. A call builds an act: the body holds its fields, flat, and beside them `act`, your own id
for it, and `at`, when it was so. With both, a call can be repeated: the first time 201, the same
again 200, the same id with other content 409. The id of the row it makes may be left out; then it
is the act's. What is said anew by PUT is said whole.

Sync. `POST sync/` takes a phone's queue, each act as the text it was serialised to once, and
answers each after its commit. An act is sent again until its answer says `kept`.

What goes wrong is told in one form, problem details (RFC 9457): each problem names its field, a
code and a sentence.
"""
