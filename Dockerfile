# Lineward for a server: one image, and the command decides which process it is.
FROM python:3.12-slim-bookworm

RUN apt-get update \
 && apt-get install -y --no-install-recommends libgdal32 libgeos-c1v5 libproj25 libpangoft2-1.0-0 \
 && rm -rf /var/lib/apt/lists/* \
 && useradd --system --uid 10001 --create-home lineward

ENV PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1 \
    LINEWARD_STATIC=/srv/static LINEWARD_MEDIA=/srv/media
WORKDIR /srv/lineward

COPY deploy/requirements.txt ./
RUN pip install --no-cache-dir --require-hashes --no-deps -r requirements.txt

COPY manage.py ./
COPY templates ./templates
COPY static ./static
COPY trapline ./trapline
# The key here signs nothing: collecting files needs settings, and settings need a key.
RUN SECRET_KEY=unused-while-building python manage.py collectstatic --noinput -v 0 \
 && install -d -o lineward /srv/media /srv/beat

USER lineward
EXPOSE 8000
CMD ["python", "-m", "gunicorn", "trapline.wsgi", "--bind", "0.0.0.0:8000", "--workers", "2", "--threads", "4", "--no-control-socket"]
