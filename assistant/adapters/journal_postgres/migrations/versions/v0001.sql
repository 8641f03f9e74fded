-- The shop's store, first version. Runs as `hoodside_keeper`, who owns everything here and cannot log in.
--
-- Who may what, by the database's own means:
--   hoodside_bay    adds facts to its own jobs and asks for removals; reads no fact and no personal value
--   hoodside_desk   reads everything but keys, hands a job from one bay to another
--   hoodside_owner  has removals carried out, makes accounts
-- A login's own name (session_user) is the bay's name. What a statement may not do itself, a trigger does in its place.

CREATE TABLE bays (
    bay text PRIMARY KEY DEFAULT session_user,
    key bytea NOT NULL DEFAULT ''::bytea,
    joined timestamptz NOT NULL DEFAULT clock_timestamp()
);

CREATE TABLE jobs (
    job_no bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    key text NOT NULL UNIQUE CHECK (length(key) BETWEEN 1 AND 300),
    label text NOT NULL UNIQUE CHECK (length(label) BETWEEN 1 AND 300),
    begun_as text NOT NULL CHECK (length(begun_as) BETWEEN 1 AND 300),
    bay text NOT NULL DEFAULT session_user,
    number integer NOT NULL DEFAULT 0,
    hash bytea NOT NULL DEFAULT decode(repeat('00', 32), 'hex'),
    skew_s double precision,
    received timestamptz NOT NULL DEFAULT clock_timestamp()
);
CREATE INDEX jobs_of_bay ON jobs (bay);

CREATE TABLE facts (
    job_no bigint NOT NULL,
    number integer NOT NULL,
    id text NOT NULL UNIQUE CHECK (length(id) BETWEEN 1 AND 320),
    recorded_utc text NOT NULL,
    hash bytea NOT NULL,
    body text NOT NULL,
    received timestamptz NOT NULL DEFAULT clock_timestamp(),
    bay text NOT NULL DEFAULT session_user,
    PRIMARY KEY (job_no, number)
);
CREATE INDEX repairs ON facts (job_no, number) WHERE strpos(body, '"kind":"repair-confirmed"') > 0;

-- Sealed with the key of the job and of whose value it is; salt and value come in plain over the wire and never lie so.
CREATE TABLE personal (
    job_no bigint NOT NULL,
    number integer NOT NULL,
    place text NOT NULL,
    belongs text NOT NULL,
    sealed bytea,
    removed_utc text,
    PRIMARY KEY (job_no, number, place)
);

-- What lies here in plain must be wiped, so that both are in small parts, one of which is written anew.
CREATE TABLE job_keys (
    job_no bigint NOT NULL,
    belongs text NOT NULL,
    key bytea NOT NULL,
    PRIMARY KEY (job_no, belongs)
) PARTITION BY HASH (job_no);
CREATE TABLE said (
    job_no bigint NOT NULL,
    number integer NOT NULL,
    place text NOT NULL,
    belongs text NOT NULL,
    car boolean NOT NULL,
    words text NOT NULL
) PARTITION BY HASH (job_no);
DO $$
BEGIN
    FOR part IN 0..15 LOOP
        EXECUTE format('CREATE TABLE job_keys_%s PARTITION OF job_keys FOR VALUES WITH (MODULUS 16, REMAINDER %s)', part, part);
        EXECUTE format('CREATE TABLE said_%s PARTITION OF said FOR VALUES WITH (MODULUS 16, REMAINDER %s)', part, part);
    END LOOP;
END $$;
CREATE INDEX said_of_job ON said (job_no, number);
CREATE INDEX said_words ON said USING gin (words public.gin_trgm_ops);
CREATE INDEX said_cars ON said (words) WHERE car AND length(words) < 100;

CREATE TABLE lines (
    job_no bigint PRIMARY KEY,
    started_utc text NOT NULL,
    procedure text NOT NULL,
    vehicle text NOT NULL,
    finding text NOT NULL,
    finding_fact text NOT NULL,
    codes text NOT NULL,
    ended boolean NOT NULL,
    everything text NOT NULL,
    vehicle_words text NOT NULL,
    finding_words text NOT NULL
);
CREATE INDEX lines_by_start ON lines (started_utc DESC, job_no DESC);
CREATE INDEX lines_everything ON lines USING gin (everything public.gin_trgm_ops);

CREATE TABLE texts (digest text PRIMARY KEY CHECK (length(digest) <= 100), text text NOT NULL);

CREATE TABLE removals (
    job_no bigint NOT NULL,
    number integer NOT NULL,
    place text NOT NULL,
    utc text NOT NULL,
    key text NOT NULL,
    job_key text,
    log_place bigint,
    done timestamptz,
    PRIMARY KEY (job_no, number, place)
);
CREATE INDEX removals_in_order ON removals (log_place);
CREATE INDEX removals_open ON removals (job_no) WHERE done IS NULL;

CREATE TABLE leases (
    label text PRIMARY KEY,
    holder text NOT NULL,
    fence bigint NOT NULL,
    until timestamptz NOT NULL,
    bay text NOT NULL DEFAULT session_user
);

CREATE TABLE log (
    place bigint PRIMARY KEY,
    kind text NOT NULL,
    job_no bigint,
    number integer,
    leaf text NOT NULL,
    nodes bytea NOT NULL,
    signature bytea NOT NULL DEFAULT ''::bytea,
    received timestamptz NOT NULL DEFAULT clock_timestamp(),
    bay text NOT NULL DEFAULT session_user,
    skew_s double precision
);
CREATE INDEX log_of_job ON log (job_no, place);
CREATE TABLE log_head (
    one boolean PRIMARY KEY DEFAULT true CHECK (one),
    store text NOT NULL,
    size bigint NOT NULL,
    peaks bytea NOT NULL,
    utc timestamptz NOT NULL DEFAULT clock_timestamp()
);

CREATE TABLE audit (
    at timestamptz NOT NULL DEFAULT clock_timestamp(),
    who text NOT NULL DEFAULT session_user,
    what text NOT NULL,
    job_no bigint,
    told text NOT NULL DEFAULT ''
);

CREATE FUNCTION setting(name text) RETURNS text LANGUAGE sql STABLE AS
$$ SELECT nullif(current_setting('hoodside.' || name, true), '') $$;

-- The Merkle log by RFC 6962. Whoever adds a leaf waits for the one before: the places are in the order of the commits.
CREATE FUNCTION add_leaf(kind text, job bigint, number integer, leaf text, skew double precision DEFAULT NULL)
RETURNS bigint LANGUAGE plpgsql SECURITY DEFINER SET search_path = shop, pg_temp AS $$
DECLARE
    at bigint; rest bytea; node bytea; nodes bytea; left_over bigint;
BEGIN
    SELECT size, peaks INTO STRICT at, rest FROM log_head FOR UPDATE;
    node := sha256('\x00'::bytea || convert_to(leaf, 'UTF8'));
    nodes := node;
    left_over := at;
    WHILE left_over & 1 = 1 LOOP
        node := sha256('\x01'::bytea || substr(rest, length(rest) - 31, 32) || node);
        rest := substr(rest, 1, length(rest) - 32);
        nodes := nodes || node;
        left_over := left_over >> 1;
    END LOOP;
    INSERT INTO log (place, kind, job_no, number, leaf, nodes, signature, skew_s)
        VALUES (at, kind, job, number, leaf, nodes, coalesce(decode(setting('signature'), 'hex'), ''::bytea), skew);
    UPDATE log_head SET size = at + 1, peaks = rest || node, utc = clock_timestamp();
    RETURN at;
END $$;

-- After facts were added: each job went on from its end, link by link, by its own bay, which nobody else has leased.
CREATE FUNCTION lengthen() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER SET search_path = shop, pg_temp AS $$
DECLARE
    part record; was record; held record; last record; broken bigint; absent text; skew double precision;
BEGIN
    skew := extract(epoch FROM setting('utc')::timestamptz - clock_timestamp());
    FOR part IN
        SELECT job_no, min(number) AS first, max(number) AS last, count(*) AS many FROM added GROUP BY job_no ORDER BY job_no
    LOOP
        SELECT * INTO was FROM jobs WHERE job_no = part.job_no FOR UPDATE;
        IF NOT FOUND OR was.bay <> session_user THEN
            RAISE EXCEPTION 'the job is not this bay''s' USING ERRCODE = 'HS003';
        END IF;
        IF part.first <> was.number + 1 OR part.last - part.first + 1 <> part.many THEN
            RAISE EXCEPTION 'fact % does not follow fact %', part.first, was.number USING ERRCODE = 'HS001';
        END IF;
        SELECT count(*) INTO broken FROM (
            SELECT hash, sha256('hoodside chained fact 1\012'::bytea
                || coalesce(lag(hash) OVER (ORDER BY number), was.hash)
                || convert_to(recorded_utc || E'\n' || body, 'UTF8')) AS follows
            FROM added WHERE job_no = part.job_no
        ) AS links WHERE hash <> follows;
        IF broken > 0 THEN
            RAISE EXCEPTION 'a hash does not follow from the fact before it' USING ERRCODE = 'HS002';
        END IF;
        SELECT * INTO held FROM leases WHERE label = was.label FOR UPDATE;
        IF FOUND AND held.holder IS DISTINCT FROM setting('holder') AND held.until > clock_timestamp() THEN
            RAISE EXCEPTION 'another program holds the job' USING ERRCODE = 'HS004';
        END IF;
        IF setting('holder') IS NOT NULL THEN
            IF held.holder IS DISTINCT FROM setting('holder')
                OR held.fence IS DISTINCT FROM (setting('fences')::json ->> was.label)::bigint THEN
                RAISE EXCEPTION 'another program took the job meanwhile' USING ERRCODE = 'HS005';
            END IF;
            UPDATE leases SET until = clock_timestamp() + make_interval(secs => setting('span')::double precision)
                WHERE label = was.label;
        END IF;
        SELECT id, hash, number INTO last FROM added WHERE job_no = part.job_no ORDER BY number DESC LIMIT 1;
        UPDATE jobs SET number = last.number, hash = last.hash, skew_s = coalesce(skew, skew_s),
            received = clock_timestamp() WHERE job_no = part.job_no;
        IF setting('vouched') IS NULL THEN
            PERFORM add_leaf('head', part.job_no, last.number, format('{"hash":"%s","id":%s,"leaf":"head","number":%s}',
                encode(last.hash, 'hex'), to_json(last.id), last.number), skew);
        ELSE
            SELECT coalesce(string_agg(format('[%s,%s]', p.number, to_json(p.place)), ',' ORDER BY p.number, p.place), '')
                INTO absent FROM personal p
                WHERE p.job_no = part.job_no AND p.number BETWEEN part.first AND part.last AND p.sealed IS NULL;
            PERFORM add_leaf('taken', part.job_no, last.number, format(
                '{"absent":[%s],"hash":"%s","id":%s,"job":%s,"key":"%s","leaf":"taken","number":%s,"utc":%s}', absent,
                encode(last.hash, 'hex'), to_json(last.id), to_json(was.begun_as), ltrim(setting('vouched'), '-'), last.number,
                to_json(coalesce(setting('utc'), ''))), skew);
        END IF;
    END LOOP;
    RETURN NULL;
END $$;
CREATE TRIGGER lengthen AFTER INSERT ON facts REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION lengthen();

CREATE FUNCTION seal() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER SET search_path = shop, pg_temp AS $$
DECLARE
    with_key bytea; vector bytea;
BEGIN
    IF NEW.number <= (SELECT number FROM jobs WHERE job_no = NEW.job_no) THEN
        RAISE EXCEPTION 'a personal value comes with its fact' USING ERRCODE = 'HS001';
    END IF;
    IF NEW.sealed IS NOT NULL THEN
        INSERT INTO job_keys VALUES (NEW.job_no, NEW.belongs, public.gen_random_bytes(32)) ON CONFLICT DO NOTHING;
        SELECT key INTO STRICT with_key FROM job_keys WHERE job_no = NEW.job_no AND belongs = NEW.belongs;
        vector := public.gen_random_bytes(16);
        NEW.sealed := vector || public.encrypt_iv(NEW.sealed, with_key, vector, 'aes');
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER seal BEFORE INSERT ON personal FOR EACH ROW EXECUTE FUNCTION seal();

-- Salt and value of what is still there, for the desk; a removal that was asked for hides its value at once.
CREATE FUNCTION opened(job bigint, fact integer)
RETURNS TABLE (number integer, place text, belongs text, plain bytea, removed_utc text)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = shop, pg_temp AS $$
    SELECT p.number, p.place, p.belongs,
        CASE WHEN r.utc IS NULL AND k.key IS NOT NULL
            THEN public.decrypt_iv(substr(p.sealed, 17), k.key, substr(p.sealed, 1, 16), 'aes') END,
        coalesce(r.utc, p.removed_utc)
    FROM personal p
    LEFT JOIN job_keys k ON k.job_no = p.job_no AND k.belongs = p.belongs
    LEFT JOIN removals r ON r.job_no = p.job_no AND r.number = p.number AND r.place = p.place
    WHERE p.job_no = job AND (fact IS NULL OR p.number = fact)
    ORDER BY p.number, p.place
$$;

-- After removals were asked for: the log says so, and no search finds the words any more.
CREATE FUNCTION hide() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER SET search_path = shop, pg_temp AS $$
DECLARE
    part record; at bigint;
BEGIN
    FOR part IN
        SELECT a.job_no, a.utc, a.key, j.key AS job_key, j.number, j.begun_as,
            string_agg(format('[%s,%s]', a.number, to_json(a.place)), ',' ORDER BY a.number, a.place) AS places
        FROM asked a JOIN jobs j USING (job_no) GROUP BY a.job_no, a.utc, a.key, j.key, j.number, j.begun_as ORDER BY a.job_no
    LOOP
        PERFORM FROM jobs WHERE job_no = part.job_no FOR UPDATE;
        at := add_leaf('removed', part.job_no, part.number, format(
            '{"job":%s,"key":%s,"leaf":"removed","removed":[%s],"utc":%s}', to_json(part.begun_as), to_json(part.key),
            part.places, to_json(part.utc)));
        UPDATE removals r SET log_place = at, job_key = part.job_key FROM asked a
            WHERE r.job_no = part.job_no AND (a.job_no, a.number, a.place) = (r.job_no, r.number, r.place);
        DELETE FROM said s USING asked a WHERE s.job_no = part.job_no
            AND (a.job_no, a.number, a.place) = (s.job_no, s.number, s.place);
        INSERT INTO audit (what, job_no, told) VALUES ('asked to remove', part.job_no, part.places);
    END LOOP;
    RETURN NULL;
END $$;
CREATE TRIGGER hide AFTER INSERT ON removals REFERENCING NEW TABLE AS asked FOR EACH STATEMENT EXECUTE FUNCTION hide();

-- Carries out what was asked for in a job: the key is shredded; what is not to go is sealed anew with another key.
CREATE FUNCTION shred(job bigint) RETURNS integer
LANGUAGE plpgsql SECURITY DEFINER SET search_path = shop, pg_temp AS $$
DECLARE
    kind text; before bytea; fresh bytea; gone integer;
BEGIN
    PERFORM FROM jobs WHERE job_no = job FOR UPDATE;
    FOR kind, before IN
        SELECT k.belongs, k.key FROM job_keys k WHERE k.job_no = job AND EXISTS (
            SELECT FROM personal p JOIN removals r USING (job_no, number, place)
            WHERE p.job_no = job AND p.belongs = k.belongs AND r.done IS NULL AND p.sealed IS NOT NULL)
    LOOP
        fresh := public.gen_random_bytes(32);
        UPDATE personal p SET sealed = substr(p.sealed, 1, 16) || public.encrypt_iv(
                public.decrypt_iv(substr(p.sealed, 17), before, substr(p.sealed, 1, 16), 'aes'),
                fresh, substr(p.sealed, 1, 16), 'aes')
            WHERE p.job_no = job AND p.belongs = kind AND p.sealed IS NOT NULL AND NOT EXISTS (
                SELECT FROM removals r WHERE (r.job_no, r.number, r.place) = (p.job_no, p.number, p.place));
        IF FOUND THEN
            UPDATE job_keys SET key = fresh WHERE job_no = job AND belongs = kind;
        ELSE
            DELETE FROM job_keys WHERE job_no = job AND belongs = kind;
        END IF;
    END LOOP;
    UPDATE personal p SET sealed = NULL, removed_utc = r.utc FROM removals r
        WHERE p.job_no = job AND (r.job_no, r.number, r.place) = (p.job_no, p.number, p.place) AND p.sealed IS NOT NULL;
    GET DIAGNOSTICS gone = ROW_COUNT;
    UPDATE removals SET done = clock_timestamp() WHERE job_no = job AND done IS NULL;
    INSERT INTO audit (what, job_no, told) VALUES ('removed', job, gone::text);
    RETURN gone;
END $$;

-- Writes the parts anew in which keys and words of the job lay, so that no file holds the old rows. All parts for NULL.
CREATE FUNCTION wipe(job bigint) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = shop, pg_temp AS $$
DECLARE
    whole regclass; part text;
BEGIN
    FOR whole, part IN
        SELECT i.inhparent, c.relname FROM pg_inherits i JOIN pg_class c ON c.oid = i.inhrelid
        WHERE i.inhparent IN ('job_keys'::regclass, 'said'::regclass) AND (job IS NULL OR satisfies_hash_partition(
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

CREATE FUNCTION hand(job bigint, to_bay text) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = shop, pg_temp AS $$
DECLARE
    was record;
BEGIN
    SELECT * INTO STRICT was FROM jobs WHERE job_no = job FOR UPDATE;
    IF NOT EXISTS (SELECT FROM bays WHERE bay = to_bay) THEN
        RAISE EXCEPTION 'no such bay' USING ERRCODE = 'HS006';
    END IF;
    UPDATE jobs SET bay = to_bay WHERE job_no = job;
    PERFORM add_leaf('handed', job, was.number, format('{"from":%s,"job":%s,"leaf":"handed","number":%s,"to":%s}',
        to_json(was.bay), to_json(was.begun_as), was.number, to_json(to_bay)));
    INSERT INTO audit (what, job_no, told) VALUES ('handed over', job, was.bay || ' to ' || to_bay);
END $$;

-- A claim is for a time, and renewed by each fact: a cut connection loses nothing. Each other holder gets a higher fence.
CREATE FUNCTION lease(wanted text, by_holder text, span_s double precision) RETURNS bigint
LANGUAGE plpgsql SECURITY DEFINER SET search_path = shop, pg_temp AS $$
DECLARE
    fence_now bigint;
BEGIN
    IF EXISTS (SELECT FROM jobs WHERE label = wanted AND bay <> session_user) THEN
        RAISE EXCEPTION 'the job is not this bay''s' USING ERRCODE = 'HS003';
    END IF;
    INSERT INTO leases AS l (label, holder, fence, until)
        VALUES (wanted, by_holder, 1, clock_timestamp() + make_interval(secs => span_s))
        ON CONFLICT (label) DO UPDATE SET holder = excluded.holder, until = excluded.until, bay = excluded.bay,
            fence = l.fence + (l.holder <> excluded.holder)::integer
            WHERE l.holder = excluded.holder OR l.until <= clock_timestamp()
        RETURNING fence INTO fence_now;
    IF fence_now IS NULL THEN
        RAISE EXCEPTION 'another program holds the job' USING ERRCODE = 'HS004';
    END IF;
    RETURN fence_now;
END $$;

CREATE FUNCTION let_go(by_holder text) RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = shop, pg_temp AS
$$ UPDATE leases SET until = '-infinity' WHERE holder = by_holder $$;

CREATE FUNCTION join_bay(its_key bytea) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = shop, pg_temp AS $$
BEGIN
    INSERT INTO bays (bay, key) VALUES (session_user, its_key) ON CONFLICT (bay) DO NOTHING;
    IF FOUND THEN
        INSERT INTO audit (what, told) VALUES ('joined', encode(its_key, 'hex'));
    ELSIF (SELECT key FROM bays WHERE bay = session_user) <> its_key THEN
        INSERT INTO audit (what, told) VALUES ('joined with another key', encode(its_key, 'hex'));
        RAISE WARNING 'another key';
    END IF;
END $$;

CREATE FUNCTION note(happened text, about text) RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = shop, pg_temp AS
$$ INSERT INTO audit (what, told) VALUES (left(happened, 100), left(about, 1000)) $$;

-- Nothing that was recorded is ever changed or taken away, by whomever.
CREATE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'what was recorded is never changed' USING ERRCODE = 'HS007';
END $$;
CREATE TRIGGER facts_stay BEFORE UPDATE OR DELETE ON facts FOR EACH STATEMENT EXECUTE FUNCTION refuse();
CREATE TRIGGER leaves_stay BEFORE UPDATE OR DELETE ON log FOR EACH STATEMENT EXECUTE FUNCTION refuse();

INSERT INTO log_head (store, size, peaks) VALUES (encode(public.gen_random_bytes(16), 'hex'), 0, ''::bytea);
SELECT add_leaf('store', NULL, NULL, (SELECT format('{"leaf":"store","store":"%s"}', store) FROM log_head));

REVOKE ALL ON ALL FUNCTIONS IN SCHEMA shop FROM PUBLIC;
GRANT EXECUTE ON FUNCTION setting TO hoodside_bay, hoodside_desk, hoodside_owner;
GRANT EXECUTE ON FUNCTION lease, let_go, join_bay TO hoodside_bay;
GRANT EXECUTE ON FUNCTION opened, hand, note TO hoodside_desk;
GRANT EXECUTE ON FUNCTION shred, wipe, note TO hoodside_owner;

GRANT INSERT (key, label, begun_as) ON jobs TO hoodside_bay;
GRANT INSERT (job_no, number, id, recorded_utc, hash, body) ON facts TO hoodside_bay;
GRANT INSERT (job_no, number, place, belongs, sealed, removed_utc) ON personal TO hoodside_bay;
GRANT INSERT ON said, lines, texts TO hoodside_bay;
GRANT INSERT (job_no, number, place, utc, key) ON removals TO hoodside_bay, hoodside_owner;
GRANT UPDATE ON lines TO hoodside_bay;
GRANT SELECT ON jobs, lines, removals TO hoodside_bay;
GRANT SELECT (digest) ON texts TO hoodside_bay;
GRANT SELECT ON bays, jobs, facts, personal, said, lines, texts, removals, leases, log, log_head, audit
    TO hoodside_desk, hoodside_owner;
GRANT SELECT ON log_head TO hoodside_bay;
GRANT SELECT (place, nodes) ON log TO hoodside_bay;

DO $$
DECLARE
    name text;
BEGIN
    FOREACH name IN ARRAY ARRAY['jobs', 'facts', 'personal', 'said', 'lines', 'texts', 'removals'] LOOP
        EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', name);
        EXECUTE format('CREATE POLICY reads ON %I FOR SELECT TO hoodside_desk, hoodside_owner USING (true)', name);
    END LOOP;
    FOREACH name IN ARRAY ARRAY['facts', 'personal', 'said', 'lines', 'removals'] LOOP
        EXECUTE format('CREATE POLICY own ON %I FOR INSERT TO hoodside_bay WITH CHECK (EXISTS '
            '(SELECT FROM jobs j WHERE j.job_no = %I.job_no AND j.bay = session_user))', name, name);
    END LOOP;
END $$;
CREATE POLICY own ON jobs FOR INSERT TO hoodside_bay WITH CHECK (bay = session_user);
CREATE POLICY own_heads ON jobs FOR SELECT TO hoodside_bay USING (bay = session_user);
CREATE POLICY own_lines ON lines FOR SELECT TO hoodside_bay
    USING (EXISTS (SELECT FROM jobs j WHERE j.job_no = lines.job_no AND j.bay = session_user));
CREATE POLICY own_lines_again ON lines FOR UPDATE TO hoodside_bay
    USING (EXISTS (SELECT FROM jobs j WHERE j.job_no = lines.job_no AND j.bay = session_user));
CREATE POLICY asked ON removals FOR INSERT TO hoodside_owner WITH CHECK (true);
CREATE POLICY travels ON removals FOR SELECT TO hoodside_bay USING (true);
CREATE POLICY true_to_its_digest ON texts FOR INSERT TO hoodside_bay
    WITH CHECK (digest = encode(sha256(convert_to(text, 'UTF8')), 'hex'));
CREATE POLICY any_text ON texts FOR INSERT TO hoodside_owner WITH CHECK (true);
CREATE POLICY digests ON texts FOR SELECT TO hoodside_bay USING (true);
