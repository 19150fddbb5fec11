--
-- PostgreSQL database dump
--

\restrict 61GWIGEiVIH2EzwnL7KX1FwuUKGlcmd3fd6ynCvL1wXJhfpKrCPmCFDsAgEpaPF

-- Dumped from database version 15.18 (Debian 15.18-0+deb12u1)
-- Dumped by pg_dump version 15.18 (Debian 15.18-0+deb12u1)

SET statement_timeout = 0;
SET lock_timeout = 0;
SET idle_in_transaction_session_timeout = 0;
SET client_encoding = 'UTF8';
SET standard_conforming_strings = on;
SELECT pg_catalog.set_config('search_path', '', false);
SET check_function_bodies = false;
SET xmloption = content;
SET client_min_messages = warning;
SET row_security = off;

--
-- Name: lanewright; Type: SCHEMA; Schema: -; Owner: -
--

CREATE SCHEMA lanewright;


SET default_tablespace = '';

SET default_table_access_method = heap;

--
-- Name: about; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.about (
    one integer NOT NULL,
    program text NOT NULL,
    format bigint NOT NULL,
    home text COLLATE pg_catalog."C",
    CONSTRAINT about_home_check CHECK ((length(home) = 36)),
    CONSTRAINT about_one_check CHECK ((one = 1)),
    CONSTRAINT about_program_check CHECK ((program = 'Lanewright'::text))
);


--
-- Name: directory; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.directory (
    id text NOT NULL COLLATE pg_catalog."C",
    CONSTRAINT directory_id_check CHECK ((length(id) = 36))
);


--
-- Name: link; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.link (
    token_sha256 text NOT NULL COLLATE pg_catalog."C",
    school text NOT NULL COLLATE pg_catalog."C",
    role text NOT NULL,
    lanes text,
    label text,
    expires_ms bigint NOT NULL,
    CONSTRAINT link_token_sha256_check CHECK ((length(token_sha256) = 64))
);
ALTER TABLE ONLY lanewright.link ALTER COLUMN label SET STATISTICS 0;

ALTER TABLE ONLY lanewright.link FORCE ROW LEVEL SECURITY;


--
-- Name: opening; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.opening (
    school text NOT NULL COLLATE pg_catalog."C",
    number bigint NOT NULL,
    name text NOT NULL COLLATE pg_catalog."C",
    from_seq bigint NOT NULL,
    CONSTRAINT opening_from_seq_check CHECK ((from_seq >= 0)),
    CONSTRAINT opening_name_check CHECK ((length(name) = 36)),
    CONSTRAINT opening_number_check CHECK ((number >= 1))
);

ALTER TABLE ONLY lanewright.opening FORCE ROW LEVEL SECURITY;


--
-- Name: password; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.password (
    school text NOT NULL COLLATE pg_catalog."C",
    hash text NOT NULL COLLATE pg_catalog."C",
    set_ms bigint NOT NULL,
    CONSTRAINT password_hash_check CHECK (((length(hash) >= 1) AND (length(hash) <= 512)))
);
ALTER TABLE ONLY lanewright.password ALTER COLUMN hash SET STATISTICS 0;

ALTER TABLE ONLY lanewright.password FORCE ROW LEVEL SECURITY;


--
-- Name: record; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
)
PARTITION BY HASH (school);
ALTER TABLE ONLY lanewright.record ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record FORCE ROW LEVEL SECURITY;


--
-- Name: record_0; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_0 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_0 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_0 FORCE ROW LEVEL SECURITY;


--
-- Name: record_1; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_1 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_1 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_1 FORCE ROW LEVEL SECURITY;


--
-- Name: record_10; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_10 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_10 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_10 FORCE ROW LEVEL SECURITY;


--
-- Name: record_11; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_11 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_11 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_11 FORCE ROW LEVEL SECURITY;


--
-- Name: record_12; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_12 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_12 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_12 FORCE ROW LEVEL SECURITY;


--
-- Name: record_13; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_13 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_13 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_13 FORCE ROW LEVEL SECURITY;


--
-- Name: record_14; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_14 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_14 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_14 FORCE ROW LEVEL SECURITY;


--
-- Name: record_15; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_15 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_15 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_15 FORCE ROW LEVEL SECURITY;


--
-- Name: record_2; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_2 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_2 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_2 FORCE ROW LEVEL SECURITY;


--
-- Name: record_3; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_3 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_3 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_3 FORCE ROW LEVEL SECURITY;


--
-- Name: record_4; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_4 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_4 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_4 FORCE ROW LEVEL SECURITY;


--
-- Name: record_5; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_5 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_5 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_5 FORCE ROW LEVEL SECURITY;


--
-- Name: record_6; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_6 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_6 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_6 FORCE ROW LEVEL SECURITY;


--
-- Name: record_7; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_7 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_7 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_7 FORCE ROW LEVEL SECURITY;


--
-- Name: record_8; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_8 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_8 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_8 FORCE ROW LEVEL SECURITY;


--
-- Name: record_9; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.record_9 (
    school text NOT NULL COLLATE pg_catalog."C",
    kind text NOT NULL COLLATE pg_catalog."C",
    id text NOT NULL COLLATE pg_catalog."C",
    version bigint NOT NULL,
    body text NOT NULL COLLATE pg_catalog."C",
    stamp text NOT NULL COLLATE pg_catalog."C",
    digest text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    CONSTRAINT record_body_check CHECK (((body)::json IS NOT NULL)),
    CONSTRAINT record_digest_check CHECK ((length(digest) = 64)),
    CONSTRAINT record_id_check CHECK ((length(id) = 36)),
    CONSTRAINT record_kind_check CHECK (((length(kind) >= 1) AND (length(kind) <= 40))),
    CONSTRAINT record_seq_check CHECK ((seq >= 1)),
    CONSTRAINT record_stamp_check CHECK ((length(stamp) = 57)),
    CONSTRAINT record_version_check CHECK (((version >= 1) AND (version <= '4294967295'::bigint)))
);
ALTER TABLE ONLY lanewright.record_9 ALTER COLUMN body SET STATISTICS 0;

ALTER TABLE ONLY lanewright.record_9 FORCE ROW LEVEL SECURITY;


--
-- Name: school; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.school (
    school text NOT NULL COLLATE pg_catalog."C",
    seq bigint NOT NULL,
    erased bigint DEFAULT 0 NOT NULL,
    scrubbed bigint DEFAULT 0 NOT NULL,
    CONSTRAINT school_seq_check CHECK ((seq >= 0))
);

ALTER TABLE ONLY lanewright.school FORCE ROW LEVEL SECURITY;


--
-- Name: session; Type: TABLE; Schema: lanewright; Owner: -
--

CREATE TABLE lanewright.session (
    token_sha256 text NOT NULL COLLATE pg_catalog."C",
    school text NOT NULL COLLATE pg_catalog."C",
    role text NOT NULL,
    lanes text,
    label text,
    number bigint NOT NULL,
    opened_ms bigint NOT NULL,
    expires_ms bigint NOT NULL,
    seen_day bigint NOT NULL,
    CONSTRAINT session_number_check CHECK ((number >= 1)),
    CONSTRAINT session_seen_day_check CHECK ((seen_day >= 0)),
    CONSTRAINT session_token_sha256_check CHECK ((length(token_sha256) = 64))
);
ALTER TABLE ONLY lanewright.session ALTER COLUMN label SET STATISTICS 0;

ALTER TABLE ONLY lanewright.session FORCE ROW LEVEL SECURITY;


--
-- Name: record_0; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_0 FOR VALUES WITH (modulus 16, remainder 0);


--
-- Name: record_1; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_1 FOR VALUES WITH (modulus 16, remainder 1);


--
-- Name: record_10; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_10 FOR VALUES WITH (modulus 16, remainder 10);


--
-- Name: record_11; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_11 FOR VALUES WITH (modulus 16, remainder 11);


--
-- Name: record_12; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_12 FOR VALUES WITH (modulus 16, remainder 12);


--
-- Name: record_13; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_13 FOR VALUES WITH (modulus 16, remainder 13);


--
-- Name: record_14; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_14 FOR VALUES WITH (modulus 16, remainder 14);


--
-- Name: record_15; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_15 FOR VALUES WITH (modulus 16, remainder 15);


--
-- Name: record_2; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_2 FOR VALUES WITH (modulus 16, remainder 2);


--
-- Name: record_3; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_3 FOR VALUES WITH (modulus 16, remainder 3);


--
-- Name: record_4; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_4 FOR VALUES WITH (modulus 16, remainder 4);


--
-- Name: record_5; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_5 FOR VALUES WITH (modulus 16, remainder 5);


--
-- Name: record_6; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_6 FOR VALUES WITH (modulus 16, remainder 6);


--
-- Name: record_7; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_7 FOR VALUES WITH (modulus 16, remainder 7);


--
-- Name: record_8; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_8 FOR VALUES WITH (modulus 16, remainder 8);


--
-- Name: record_9; Type: TABLE ATTACH; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record ATTACH PARTITION lanewright.record_9 FOR VALUES WITH (modulus 16, remainder 9);


--
-- Data for Name: about; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.about (one, program, format, home) FROM stdin;
1	Lanewright	2	00000000-0000-0000-0000-000000000010
\.


--
-- Data for Name: directory; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.directory (id) FROM stdin;
00000000-0000-0000-0000-000000000010
\.


--
-- Data for Name: link; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.link (token_sha256, school, role, lanes, label, expires_ms) FROM stdin;
7c4a345722b40acbdc121843d43b674e9f7c50201f26b4b915931b4f2a73d3d0	00000000-0000-0000-0000-000000000010	helper	\N	Kim's phone	1772446446000
\.


--
-- Data for Name: opening; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.opening (school, number, name, from_seq) FROM stdin;
00000000-0000-0000-0000-000000000010	1	b8e13426-a8d9-8d37-98aa-75011e98e7bb	0
\.


--
-- Data for Name: password; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.password (school, hash, set_ms) FROM stdin;
00000000-0000-0000-0000-000000000010	hash	1772446445000
\.


--
-- Data for Name: record_0; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_0 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: record_1; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_1 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: record_10; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_10 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: record_11; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_11 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
00000000-0000-0000-0000-000000000010	telescope	00000000-0000-0000-0000-000000000001	1	{"number":1}	1772446445000-000000-00000000-0000-0000-0000-00000000000d	25b831ddbea39146acae25bdf3c245d88e57f22cc053e6290344f84b3109ae0d	1
00000000-0000-0000-0000-000000000010	telescope	00000000-0000-0000-0000-000000000002	1	{"number":2}	1772446445000-000000-00000000-0000-0000-0000-00000000000d	9976634b22c72a6acf3685af30de5af69dd5ca5c9dad0551c34676fda83ac197	2
00000000-0000-0000-0000-000000000010	telescope	00000000-0000-0000-0000-000000000003	1	{"number":3}	1772446445000-000000-00000000-0000-0000-0000-00000000000d	583195e49b554fdce8a002da4c3dd95a56d4ae2eb0a99911d229b52f84c2fbde	3
00000000-0000-0000-0000-000000000010	telescope	00000000-0000-0000-0000-000000000004	1	{"number":4}	1772446445000-000000-00000000-0000-0000-0000-00000000000d	11577e144b82f2fd794794c7e3bf428e9b92baea4037b030d1aea3888937c3eb	4
00000000-0000-0000-0000-000000000010	telescope	00000000-0000-0000-0000-000000000005	1	{"number":5}	1772446445000-000000-00000000-0000-0000-0000-00000000000d	600bcd4b62a50826f8928439d8df3c963031ba0f6a035c0a7a64a71ff2501418	5
00000000-0000-0000-0000-000000000010	telescope	00000000-0000-0000-0000-000000000006	1	{"number":6}	1772446445000-000000-00000000-0000-0000-0000-00000000000d	5c219746e0b1d0f346fccec12201012023ef2fb682f19729eb213df2da5f5cdc	6
00000000-0000-0000-0000-000000000010	telescope	00000000-0000-0000-0000-000000000007	1	{"number":7}	1772446445000-000000-00000000-0000-0000-0000-00000000000d	74e251dc657adc9b3cb8b1bb5ba09cf1969f093c1a9749e1d036fcc5c9908cbd	7
00000000-0000-0000-0000-000000000010	telescope	00000000-0000-0000-0000-000000000008	1	{"number":8}	1772446445000-000000-00000000-0000-0000-0000-00000000000d	3c22d9553aebc175320dc1f4e09fa70510c07feb0e37f21ec781e6351c34ce81	8
00000000-0000-0000-0000-000000000010	telescope	00000000-0000-0000-0000-000000000009	1	{"number":9}	1772446445000-000000-00000000-0000-0000-0000-00000000000d	f32d351b44a0dce2d989a2eb65cce81956b246379bd7dcee7cb62056c97a0de8	9
00000000-0000-0000-0000-000000000010	telescope	00000000-0000-0000-0000-00000000000a	1	{"number":10}	1772446445000-000000-00000000-0000-0000-0000-00000000000d	9d3055d5823b50bd56b61a83f8850ab7bfa57f493550d9bf5ac47151aa5bd2d6	10
00000000-0000-0000-0000-000000000010	telescope	00000000-0000-0000-0000-00000000000b	1	{"number":11}	1772446445000-000000-00000000-0000-0000-0000-00000000000d	4b1bf97abe3284d399315a6a42cb04062b5be7ae6925db64ef2a3d77d8811336	11
00000000-0000-0000-0000-000000000010	telescope	00000000-0000-0000-0000-00000000000c	1	{"number":12}	1772446445000-000000-00000000-0000-0000-0000-00000000000d	283f9ed62709fb15d5500427d6850f5160f5775b849d7f10d96233a0ba2850f3	12
\.


--
-- Data for Name: record_12; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_12 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: record_13; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_13 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: record_14; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_14 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: record_15; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_15 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: record_2; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_2 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: record_3; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_3 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: record_4; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_4 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: record_5; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_5 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: record_6; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_6 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: record_7; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_7 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: record_8; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_8 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: record_9; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.record_9 (school, kind, id, version, body, stamp, digest, seq) FROM stdin;
\.


--
-- Data for Name: school; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.school (school, seq, erased, scrubbed) FROM stdin;
00000000-0000-0000-0000-000000000010	12	0	0
\.


--
-- Data for Name: session; Type: TABLE DATA; Schema: lanewright; Owner: -
--

COPY lanewright.session (token_sha256, school, role, lanes, label, number, opened_ms, expires_ms, seen_day) FROM stdin;
3f3af1ecebbd1410ab417ec0d27bbfcb5d340e177ae159b59fc8626c2dfd9175	00000000-0000-0000-0000-000000000010	helper	\N	Kim's phone	1	1772446445000	1772446446000	20514
\.


--
-- Name: about about_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.about
    ADD CONSTRAINT about_pkey PRIMARY KEY (one);


--
-- Name: directory directory_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.directory
    ADD CONSTRAINT directory_pkey PRIMARY KEY (id);


--
-- Name: link link_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.link
    ADD CONSTRAINT link_pkey PRIMARY KEY (token_sha256);


--
-- Name: opening opening_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.opening
    ADD CONSTRAINT opening_pkey PRIMARY KEY (school, number);


--
-- Name: password password_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.password
    ADD CONSTRAINT password_pkey PRIMARY KEY (school);


--
-- Name: record record_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record
    ADD CONSTRAINT record_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_0 record_0_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_0
    ADD CONSTRAINT record_0_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_10 record_10_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_10
    ADD CONSTRAINT record_10_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_11 record_11_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_11
    ADD CONSTRAINT record_11_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_12 record_12_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_12
    ADD CONSTRAINT record_12_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_13 record_13_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_13
    ADD CONSTRAINT record_13_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_14 record_14_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_14
    ADD CONSTRAINT record_14_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_15 record_15_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_15
    ADD CONSTRAINT record_15_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_1 record_1_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_1
    ADD CONSTRAINT record_1_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_2 record_2_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_2
    ADD CONSTRAINT record_2_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_3 record_3_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_3
    ADD CONSTRAINT record_3_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_4 record_4_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_4
    ADD CONSTRAINT record_4_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_5 record_5_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_5
    ADD CONSTRAINT record_5_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_6 record_6_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_6
    ADD CONSTRAINT record_6_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_7 record_7_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_7
    ADD CONSTRAINT record_7_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_8 record_8_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_8
    ADD CONSTRAINT record_8_pkey PRIMARY KEY (school, kind, id);


--
-- Name: record_9 record_9_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.record_9
    ADD CONSTRAINT record_9_pkey PRIMARY KEY (school, kind, id);


--
-- Name: school school_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.school
    ADD CONSTRAINT school_pkey PRIMARY KEY (school);


--
-- Name: session session_pkey; Type: CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.session
    ADD CONSTRAINT session_pkey PRIMARY KEY (token_sha256);


--
-- Name: link_of_school; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE INDEX link_of_school ON lanewright.link USING btree (school);


--
-- Name: opening_by_name; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX opening_by_name ON lanewright.opening USING btree (school, name);


--
-- Name: record_by_seq; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_by_seq ON ONLY lanewright.record USING btree (school, seq);


--
-- Name: record_0_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_0_school_seq_idx ON lanewright.record_0 USING btree (school, seq);


--
-- Name: record_10_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_10_school_seq_idx ON lanewright.record_10 USING btree (school, seq);


--
-- Name: record_11_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_11_school_seq_idx ON lanewright.record_11 USING btree (school, seq);


--
-- Name: record_12_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_12_school_seq_idx ON lanewright.record_12 USING btree (school, seq);


--
-- Name: record_13_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_13_school_seq_idx ON lanewright.record_13 USING btree (school, seq);


--
-- Name: record_14_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_14_school_seq_idx ON lanewright.record_14 USING btree (school, seq);


--
-- Name: record_15_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_15_school_seq_idx ON lanewright.record_15 USING btree (school, seq);


--
-- Name: record_1_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_1_school_seq_idx ON lanewright.record_1 USING btree (school, seq);


--
-- Name: record_2_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_2_school_seq_idx ON lanewright.record_2 USING btree (school, seq);


--
-- Name: record_3_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_3_school_seq_idx ON lanewright.record_3 USING btree (school, seq);


--
-- Name: record_4_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_4_school_seq_idx ON lanewright.record_4 USING btree (school, seq);


--
-- Name: record_5_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_5_school_seq_idx ON lanewright.record_5 USING btree (school, seq);


--
-- Name: record_6_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_6_school_seq_idx ON lanewright.record_6 USING btree (school, seq);


--
-- Name: record_7_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_7_school_seq_idx ON lanewright.record_7 USING btree (school, seq);


--
-- Name: record_8_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_8_school_seq_idx ON lanewright.record_8 USING btree (school, seq);


--
-- Name: record_9_school_seq_idx; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE UNIQUE INDEX record_9_school_seq_idx ON lanewright.record_9 USING btree (school, seq);


--
-- Name: session_of_school; Type: INDEX; Schema: lanewright; Owner: -
--

CREATE INDEX session_of_school ON lanewright.session USING btree (school);


--
-- Name: record_0_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_0_pkey;


--
-- Name: record_0_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_0_school_seq_idx;


--
-- Name: record_10_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_10_pkey;


--
-- Name: record_10_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_10_school_seq_idx;


--
-- Name: record_11_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_11_pkey;


--
-- Name: record_11_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_11_school_seq_idx;


--
-- Name: record_12_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_12_pkey;


--
-- Name: record_12_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_12_school_seq_idx;


--
-- Name: record_13_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_13_pkey;


--
-- Name: record_13_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_13_school_seq_idx;


--
-- Name: record_14_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_14_pkey;


--
-- Name: record_14_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_14_school_seq_idx;


--
-- Name: record_15_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_15_pkey;


--
-- Name: record_15_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_15_school_seq_idx;


--
-- Name: record_1_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_1_pkey;


--
-- Name: record_1_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_1_school_seq_idx;


--
-- Name: record_2_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_2_pkey;


--
-- Name: record_2_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_2_school_seq_idx;


--
-- Name: record_3_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_3_pkey;


--
-- Name: record_3_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_3_school_seq_idx;


--
-- Name: record_4_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_4_pkey;


--
-- Name: record_4_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_4_school_seq_idx;


--
-- Name: record_5_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_5_pkey;


--
-- Name: record_5_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_5_school_seq_idx;


--
-- Name: record_6_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_6_pkey;


--
-- Name: record_6_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_6_school_seq_idx;


--
-- Name: record_7_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_7_pkey;


--
-- Name: record_7_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_7_school_seq_idx;


--
-- Name: record_8_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_8_pkey;


--
-- Name: record_8_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_8_school_seq_idx;


--
-- Name: record_9_pkey; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_pkey ATTACH PARTITION lanewright.record_9_pkey;


--
-- Name: record_9_school_seq_idx; Type: INDEX ATTACH; Schema: lanewright; Owner: -
--

ALTER INDEX lanewright.record_by_seq ATTACH PARTITION lanewright.record_9_school_seq_idx;


--
-- Name: link link_school_fkey; Type: FK CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.link
    ADD CONSTRAINT link_school_fkey FOREIGN KEY (school) REFERENCES lanewright.school(school);


--
-- Name: opening opening_school_fkey; Type: FK CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.opening
    ADD CONSTRAINT opening_school_fkey FOREIGN KEY (school) REFERENCES lanewright.school(school);


--
-- Name: password password_school_fkey; Type: FK CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.password
    ADD CONSTRAINT password_school_fkey FOREIGN KEY (school) REFERENCES lanewright.school(school);


--
-- Name: record record_school_fkey; Type: FK CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record
    ADD CONSTRAINT record_school_fkey FOREIGN KEY (school) REFERENCES lanewright.school(school);


--
-- Name: school school_school_fkey; Type: FK CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.school
    ADD CONSTRAINT school_school_fkey FOREIGN KEY (school) REFERENCES lanewright.directory(id);


--
-- Name: session session_school_fkey; Type: FK CONSTRAINT; Schema: lanewright; Owner: -
--

ALTER TABLE ONLY lanewright.session
    ADD CONSTRAINT session_school_fkey FOREIGN KEY (school) REFERENCES lanewright.school(school);


--
-- Name: link; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.link ENABLE ROW LEVEL SECURITY;

--
-- Name: link of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.link USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: opening of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.opening USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: password of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.password USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_0 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_0 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_1 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_1 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_10 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_10 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_11 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_11 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_12 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_12 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_13 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_13 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_14 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_14 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_15 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_15 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_2 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_2 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_3 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_3 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_4 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_4 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_5 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_5 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_6 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_6 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_7 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_7 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_8 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_8 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: record_9 of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.record_9 USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: school of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.school USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: session of_the_school; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_school ON lanewright.session USING ((school = current_setting('lanewright.school'::text, true))) WITH CHECK ((school = current_setting('lanewright.school'::text, true)));


--
-- Name: link of_the_token; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_token ON lanewright.link FOR SELECT USING ((token_sha256 = current_setting('lanewright.token'::text, true)));


--
-- Name: session of_the_token; Type: POLICY; Schema: lanewright; Owner: -
--

CREATE POLICY of_the_token ON lanewright.session FOR SELECT USING ((token_sha256 = current_setting('lanewright.token'::text, true)));


--
-- Name: opening; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.opening ENABLE ROW LEVEL SECURITY;

--
-- Name: password; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.password ENABLE ROW LEVEL SECURITY;

--
-- Name: record; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record ENABLE ROW LEVEL SECURITY;

--
-- Name: record_0; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_0 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_1; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_1 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_10; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_10 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_11; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_11 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_12; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_12 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_13; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_13 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_14; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_14 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_15; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_15 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_2; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_2 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_3; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_3 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_4; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_4 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_5; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_5 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_6; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_6 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_7; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_7 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_8; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_8 ENABLE ROW LEVEL SECURITY;

--
-- Name: record_9; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.record_9 ENABLE ROW LEVEL SECURITY;

--
-- Name: school; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.school ENABLE ROW LEVEL SECURITY;

--
-- Name: session; Type: ROW SECURITY; Schema: lanewright; Owner: -
--

ALTER TABLE lanewright.session ENABLE ROW LEVEL SECURITY;

--
-- PostgreSQL database dump complete
--

\unrestrict 61GWIGEiVIH2EzwnL7KX1FwuUKGlcmd3fd6ynCvL1wXJhfpKrCPmCFDsAgEpaPF

