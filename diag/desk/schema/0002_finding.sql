-- Lists and searches. What is being worked on changes with every answer and is looked through row by row; what nobody
-- works on is settled and stands in the indexes, so that an answer costs no work on them.

create extension if not exists pg_trgm with schema diag;

create table diag.digests (
    job     bigint primary key references diag.jobs,
    settled boolean not null default true,
    text    text not null,                     -- everything a person might search for, small letters
    car     text not null,
    sketch  jsonb not null,                    -- what looking back needs
    tsv     tsvector generated always as (to_tsvector('english', text)) stored
) with (fillfactor = 70);
insert into diag.digests (job, settled, text, car, sketch)
select j.job, true, lower(concat_ws(' ', j.id, j.title, string_agg(e.body, ' ' order by e.place))), lower(j.title), '{}'
from diag.jobs j left join diag.entries e using (job) group by j.job;

create index by_piece on diag.digests using gin (text diag.gin_trgm_ops) where settled;
create index by_car on diag.digests using gin (car diag.gin_trgm_ops) where settled;
create index by_word on diag.digests using gin (tsv) where settled;
create index unsettled on diag.digests (job) where not settled;
create index by_cause on diag.jobs using gin (causes);

-- Handing over: to a person, or to whoever is free first.
alter table diag.jobs
    add column passed_to text not null default '',
    add column passed_by text not null default '',
    add column passed_at timestamptz,
    add column passed_under uuid,                -- the hold it was handed over under
    add column waits     text not null default '';
create index passed on diag.jobs (passed_at) where passed_to <> '';
create index not_closed on diag.jobs (changed desc, id) where status <> 'closed';
