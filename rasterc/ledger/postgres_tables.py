"""The tables and functions of a ledger in PostgreSQL.

All lies in one schema. A reservation is one statement, and so one transaction that no client can
leave half done: the function waits for its turn (the database grants them in order), looks, and
writes. Whatever went wrong in it, the exclusion constraint lets no print be issued twice.
"""

from __future__ import annotations

SCHEMA = "rasterc_ledger"
TURN = 0x52514C47
"""The key of the advisory lock that turns are taken by."""

HOME = f"'{SCHEMA}.entry'::regclass::oid::text"
"""Where the entries lie: tables that are put back from a dump have another oid."""

TABLES = f"""
create extension if not exists btree_gist;
create schema {SCHEMA};
set local search_path to {SCHEMA}, public;
create table ledger (id text not null, form integer not null, home text not null);
create table entry (
  seq bigint primary key, kind text not null, request text not null collate "C",
  counter text not null collate "C", part text not null collate "C",
  epoch text not null collate "C", form text not null, rule text not null,
  first bigint not null, last bigint not null, job text not null, at text not null,
  previous text not null unique, hash text not null,
  span int8range generated always as (
    case when last < first then int8range 'empty' else int8range(first, last, '[]') end
  ) stored,
  exclude using gist (counter with =, part with =, epoch with =, span with &&)
    where (kind in ('reserve', 'advance'))
);
create unique index reserved on entry (request) where kind = 'reserve';
create index requested on entry (request);
create index issued on entry (counter, part, epoch, last) where kind in ('reserve', 'advance');
create index used on entry (counter, seq) where kind in ('reserve', 'advance');
create index closed on entry (counter, part, epoch) where kind = 'advance';

create function hash_of(variadic texts text[]) returns text language plpgsql immutable as $$
declare
  whole text := '';
  one text;
begin
  foreach one in array texts loop
    whole := whole || length(one) || ':' || one;
  end loop;
  return encode(sha256(convert_to(whole, 'UTF8')), 'hex');
end $$;

create function as_json(e entry) returns text language plpgsql immutable as $$
begin
  if e is null then return null; end if;
  return to_jsonb(e) - 'span';
end $$;

create function add_entry(
  kind text, request text, counter text, part text, epoch text, form text, rule text,
  first bigint, last bigint, job text
) returns entry language plpgsql volatile as $$
#variable_conflict use_variable
declare
  seq bigint := 0;
  previous text;
  at text := to_char(clock_timestamp() at time zone 'utc', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"');
  made entry;
begin
  select e.seq, e.hash into seq, previous from entry e order by e.seq desc limit 1;
  if not found then
    seq := 0;
    select hash_of(l.id) into previous from ledger l;
  end if;
  insert into entry values (
    seq + 1, kind, request, counter, part, epoch, form, rule, first, last, job, at, previous,
    hash_of(
      (seq + 1)::text, kind, request, counter, part, epoch, form, rule, first::text, last::text,
      job, at, previous
    )
  ) returning * into made;
  return made;
end $$;

create function refused(why text, e entry, issued bigint) returns text language sql immutable as $$
  select jsonb_build_object('why', why, 'entry', as_json(e)::jsonb, 'issued', issued)::text
$$;

create function reserve(
  a_request text, a_counter text, a_part text, an_epoch text, a_form text, a_rule text,
  a_count bigint, a_limit bigint, a_job text, is_earlier boolean
) returns text language plpgsql volatile as $$
declare
  found_ entry;
  last_ entry;
  first_ bigint;
begin
  perform pg_advisory_xact_lock({TURN});
  select * into found_ from entry where request = a_request order by seq limit 1;
  if found then
    perform 1 from entry where request = a_request and kind = 'void';
    if found then return refused('void', found_, 0); end if;
    return as_json(found_);
  end if;
  perform 1 from ledger where home = {HOME};
  if not found then return refused('doubt', found_, 0); end if;
  select * into last_ from entry
    where counter = a_counter and part = a_part and epoch = an_epoch
      and kind in ('reserve', 'advance') order by last desc limit 1;
  first_ := coalesce(last_.last + 1, 0);
  select * into found_ from entry
    where counter = a_counter and kind in ('reserve', 'advance') order by seq desc limit 1;
  if found and found_.form <> a_form then return refused('form', found_, 0); end if;
  select * into found_ from entry
    where counter = a_counter and part = a_part and kind = 'advance' order by epoch desc limit 1;
  if found and an_epoch < found_.epoch then return refused('closed', found_, 0); end if;
  select * into found_ from entry e
    where counter = a_counter and part = a_part and kind in ('reserve', 'advance')
      and not exists (
        select 1 from entry v
        where v.request = e.request and v.kind = 'void' and v.first = e.first
      )
    order by epoch desc, last desc limit 1;
  if found and an_epoch < found_.epoch and not is_earlier then
    return refused('earlier', found_, 0);
  end if;
  if last_.rule <> a_rule then return refused('rule', last_, 0); end if;
  if first_ + a_count > a_limit then return refused('ended', last_, first_); end if;
  return as_json(add_entry(
    'reserve', a_request, a_counter, a_part, an_epoch, a_form, a_rule,
    first_, first_ + a_count - 1, a_job
  ));
end $$;

create function append_all(drafts jsonb, guard bigint) returns text language plpgsql volatile as $$
declare
  a_request text := drafts->0->>'request';
  found_ bigint;
  draft jsonb;
  made entry;
  all_made jsonb := '[]';
begin
  perform pg_advisory_xact_lock({TURN});
  select max(seq) into found_ from entry where a_request = '' or request = a_request;
  if coalesce(found_, 0) <> guard then return '[]'; end if;
  for draft in select * from jsonb_array_elements(drafts) loop
    made := add_entry(
      draft->>'kind', draft->>'request', draft->>'counter', draft->>'part', draft->>'epoch',
      draft->>'form', draft->>'rule', (draft->>'first')::bigint, (draft->>'last')::bigint,
      draft->>'job'
    );
    all_made := all_made || as_json(made)::jsonb;
  end loop;
  return all_made::text;
end $$;
"""
