#!/usr/bin/env bash
# Starts a throwaway PostgreSQL for the library's tests and stops it when the calling shell ends.
# Sourced, it exports HOLDTRIP_TEST_POSTGRES; run by itself, it prints the address and waits for Ctrl-C.
# Needs root only to install PostgreSQL where it is missing (Debian, Ubuntu).

holdtrip_postgres_start() {
    if [ -n "${HOLDTRIP_TEST_POSTGRES:-}" ]; then
        return 0 # a server is given: use that one
    fi
    local bin
    bin=$(holdtrip_postgres_bin)
    if [ -z "$bin" ]; then
        echo "installing PostgreSQL for the library's tests" >&2
        apt-get -qq update >&2
        DEBIAN_FRONTEND=noninteractive apt-get -qq install -y --no-install-recommends postgresql >&2
        bin=$(holdtrip_postgres_bin)
    fi
    HOLDTRIP_POSTGRES_BIN=$bin
    HOLDTRIP_POSTGRES_DIR=$(mktemp -d)
    HOLDTRIP_POSTGRES_AS=()
    if [ "$(id -u)" = 0 ]; then # the server refuses to run as root
        chown postgres "$HOLDTRIP_POSTGRES_DIR"
        HOLDTRIP_POSTGRES_AS=(runuser -u postgres --)
    fi
    local port
    port=$(python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])')
    cd "$HOLDTRIP_POSTGRES_DIR" || return 1
    "${HOLDTRIP_POSTGRES_AS[@]}" "$bin/initdb" -D "$HOLDTRIP_POSTGRES_DIR/data" -U holdtrip -A trust \
        -E UTF8 --locale=C.UTF-8 >/dev/null
    "${HOLDTRIP_POSTGRES_AS[@]}" "$bin/pg_ctl" -D "$HOLDTRIP_POSTGRES_DIR/data" -w -s \
        -l "$HOLDTRIP_POSTGRES_DIR/log" \
        -o "-h 127.0.0.1 -p $port -k $HOLDTRIP_POSTGRES_DIR -c fsync=off" start
    cd - >/dev/null || return 1
    export HOLDTRIP_TEST_POSTGRES="postgresql://holdtrip@127.0.0.1:$port/postgres"
    trap holdtrip_postgres_stop EXIT
}

holdtrip_postgres_bin() {
    local found
    for found in /usr/lib/postgresql/*/bin "$(dirname "$(command -v initdb || echo /none/initdb)")"; do
        if [ -x "$found/initdb" ] && [ -x "$found/pg_ctl" ]; then
            echo "$found"
            return 0
        fi
    done
}

holdtrip_postgres_stop() {
    "${HOLDTRIP_POSTGRES_AS[@]}" "$HOLDTRIP_POSTGRES_BIN/pg_ctl" -D "$HOLDTRIP_POSTGRES_DIR/data" -s -m immediate stop || true
    rm -rf "$HOLDTRIP_POSTGRES_DIR"
}

holdtrip_postgres_start
if [ "${BASH_SOURCE[0]}" = "$0" ]; then
    echo "$HOLDTRIP_TEST_POSTGRES"
    while sleep 3600; do :; done
fi
