"""All words of a job together, for searches for words that many jobs have; what other bays repaired, for a bay's odds.

Words that many jobs have each and few together were looked for one by one, and what was found was held against each
other: some hundred thousand jobs for none. Together under one index the server finds where they meet.
"""

from __future__ import annotations

from alembic import op

revision = "0003"
down_revision = "0002"

UP = """
CREATE TABLE gathered (
    job_no bigint NOT NULL,
    started_utc text NOT NULL,
    words text NOT NULL,
    PRIMARY KEY (job_no)
) PARTITION BY HASH (job_no);
DO $$
BEGIN
    FOR part IN 0..15 LOOP
        EXECUTE format('CREATE TABLE gathered_%s PARTITION OF gathered FOR VALUES WITH (MODULUS 16, REMAINDER %s)',
            part, part);
    END LOOP;
END $$;
DROP INDEX said_words;
DROP INDEX lines_everything;
GRANT SELECT ON gathered TO hoodside_desk, hoodside_owner;

-- The job's line and what is said in it as one text. Its old form goes when the part is written anew (`wipe`).
CREATE FUNCTION gather(job bigint) RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = shop, pg_temp AS $$
    INSERT INTO gathered AS g (job_no, started_utc, words)
        SELECT l.job_no, l.started_utc, concat_ws(E'\\n', l.everything, l.vehicle_words, l.finding_words,
            (SELECT string_agg(DISTINCT s.words, E'\\n') FROM said s WHERE s.job_no = l.job_no))
        FROM lines l WHERE l.job_no = job
        ON CONFLICT (job_no) DO UPDATE SET words = excluded.words, started_utc = excluded.started_utc
            WHERE (g.words, g.started_utc) IS DISTINCT FROM (excluded.words, excluded.started_utc)
$$;
CREATE FUNCTION gather_line() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER SET search_path = shop, pg_temp AS $$
BEGIN
    PERFORM gather(NEW.job_no);
    RETURN NULL;
END $$;
CREATE TRIGGER gather AFTER INSERT OR UPDATE ON lines FOR EACH ROW EXECUTE FUNCTION gather_line();
SELECT gather(job_no) FROM lines;
CREATE INDEX gathered_by_start ON gathered (started_utc DESC, job_no DESC);
CREATE INDEX gathered_words ON gathered USING gin (words public.gin_trgm_ops);

-- Runs after `hide`, by its name: what is no longer said in a job is no longer gathered.
CREATE FUNCTION hide_gathered() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER SET search_path = shop, pg_temp AS $$
BEGIN
    PERFORM gather(job_no) FROM (SELECT DISTINCT job_no FROM asked) AS jobs;
    RETURN NULL;
END $$;
CREATE TRIGGER hide_gathered AFTER INSERT ON removals REFERENCING NEW TABLE AS asked
    FOR EACH STATEMENT EXECUTE FUNCTION hide_gathered();

-- What other bays repaired, counted: faults and numbers, which name nobody. A bay knows its own by itself. What a line
-- says of a repair that no fact confirms does not count.
CREATE FUNCTION repaired_elsewhere() RETURNS TABLE (procedure text, fault text, repairs bigint)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = shop, pg_temp AS $$
    SELECT l.procedure, l.told ->> 'repaired', count(*) FROM lines l JOIN jobs j USING (job_no)
    WHERE l.told ? 'repaired' AND j.bay <> session_user AND (SELECT bool_and(f.bay <> session_user) FROM facts f
        WHERE f.job_no = l.job_no AND strpos(f.body, '"kind":"repair-confirmed"') > 0)
    GROUP BY 1, 2 ORDER BY 1, 2
$$;
REVOKE ALL ON FUNCTION gather, gather_line, hide_gathered, repaired_elsewhere FROM PUBLIC;
GRANT EXECUTE ON FUNCTION repaired_elsewhere TO hoodside_bay;
"""
DOWN = """
DROP FUNCTION repaired_elsewhere;
DROP TRIGGER hide_gathered ON removals;
DROP TRIGGER gather ON lines;
DROP FUNCTION hide_gathered, gather_line, gather;
DROP TABLE gathered;
CREATE INDEX said_words ON said USING gin (words public.gin_trgm_ops);
CREATE INDEX lines_everything ON lines USING gin (everything public.gin_trgm_ops);
"""
WIPE = """
CREATE OR REPLACE FUNCTION wipe(job bigint) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = shop, pg_temp AS $$
DECLARE
    whole regclass; part text;
BEGIN
    FOR whole, part IN
        SELECT i.inhparent, c.relname FROM pg_inherits i JOIN pg_class c ON c.oid = i.inhrelid
        WHERE i.inhparent = ANY (ARRAY[{wiped}]::regclass[]) AND (job IS NULL OR satisfies_hash_partition(
            i.inhparent, 16, substring(c.relname FROM '[0-9]+$')::integer, job))
        ORDER BY c.relname
    LOOP
        EXECUTE format('LOCK TABLE %I IN ACCESS EXCLUSIVE MODE', part);
        EXECUTE format('CREATE TEMP TABLE kept ON COMMIT DROP AS SELECT * FROM %I', part);
        EXECUTE format('TRUNCATE %I', part);
        EXECUTE format('INSERT INTO %I SELECT * FROM kept', part);
        DROP TABLE kept;
    END LOOP;
END $$;
"""
WIPED = "'job_keys', 'said'"


def upgrade() -> None:
    """The words are gathered from what is there."""
    _run(UP + WIPE.replace("{wiped}", f"{WIPED}, 'gathered'"))


def downgrade() -> None:
    """They are derived, so nothing is lost."""
    _run(WIPE.replace("{wiped}", WIPED) + DOWN)


def _run(script: str) -> None:
    cursor = op.get_bind().connection.cursor()  # the driver's own, to which a percent sign is only a sign
    cursor.execute(script)
    cursor.close()
