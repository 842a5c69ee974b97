# holdtrip with its local page. Build: docker build -t holdtrip .
# Run, the library in a volume, the program read-only, no root:
# HOLDTRIP_TOKEN holds a token for each person: "Ann=...,Ben=...".
#   docker run --read-only --tmpfs /tmp -v holdtrip-library:/library -p 127.0.0.1:8737:8737 -e HOLDTRIP_TOKEN holdtrip
FROM python:3.12-slim-bookworm

# hadolint ignore=DL3008
RUN apt-get update \
    && apt-get install -y --no-install-recommends tesseract-ocr \
    && rm -rf /var/lib/apt/lists/* \
    && useradd --create-home --uid 10001 holdtrip \
    && install -d -o holdtrip -g holdtrip /library

WORKDIR /opt/holdtrip
COPY pyproject.toml constraints.txt README.md LICENSE ./
COPY extract ./extract
COPY compare ./compare
COPY holdtrip ./holdtrip
RUN pip install --no-cache-dir -c constraints.txt ".[serve,scans,postgres]"

USER 10001
WORKDIR /library
VOLUME /library
ENV HOLDTRIP_LIBRARY=/library/parts.sqlite \
    HOME=/tmp
EXPOSE 8737
ENTRYPOINT ["holdtrip"]
CMD ["serve", "--host", "0.0.0.0", "--port", "8737", "--no-browser"]
