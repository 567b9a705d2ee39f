#!/bin/sh
# Run once by the database's image when its volume is empty: two roles, neither a superuser. `loading_owner` owns the
# schema and migrates it, `loading` serves; what it may do is granted by `migrate`.
set -eu
psql --set ON_ERROR_STOP=1 --username "$POSTGRES_USER" --dbname "$POSTGRES_DB" \
    --set owner="$LOADING_OWNER_PASSWORD" --set service="$LOADING_DATABASE_PASSWORD" <<'SQL'
CREATE ROLE loading_owner LOGIN PASSWORD :'owner';
CREATE ROLE loading LOGIN PASSWORD :'service';
ALTER DATABASE loading OWNER TO loading_owner;
ALTER SCHEMA public OWNER TO loading_owner;
SQL
