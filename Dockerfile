FROM python:3.13-slim
RUN apt-get update && apt-get install -y --no-install-recommends \
        fontconfig fonts-dejavu-core libharfbuzz-subset0 libpango-1.0-0 libpangoft2-1.0-0 postgresql-client \
    && rm -rf /var/lib/apt/lists/* && useradd --create-home workshop && install -d -o workshop /data
WORKDIR /app
COPY requirements.lock .
RUN pip install --no-cache-dir --require-hashes -r requirements.lock
COPY . .
RUN SECRET_KEY=only-while-building-only-while-building-only-while-building DATA_DIR=/tmp python manage.py collectstatic --noinput
USER workshop
ENV DATA_DIR=/data BIND=0.0.0.0
EXPOSE 8000
CMD ["sh", "-c", "python manage.py migrate --noinput && exec gunicorn --config python:shop.serving shop.wsgi"]
