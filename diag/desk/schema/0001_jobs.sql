-- Jobs, their entries, who works on them now, and files as they were found.
-- Entries are only ever added: a trigger forbids everybody, the owner too, to change or remove one.

create table diag.jobs (
    job       bigint generated always as identity primary key,
    id        text collate "C" not null unique,            -- the case's name, also that of its file
    made      uuid not null,                   -- the hold it was made under, so that it is never made twice
    head      text not null,                   -- the case file up to its entries
    entries   integer not null default 0,      -- how many there are
    found     bytea,                           -- the file as brought in, where it is laid out otherwise than ours
    problem   text not null default '',        -- why that file cannot be read whole
    title     text not null default '',
    status    text not null default 'open',
    opened    text collate "C" not null default '',        -- as told by whoever opened it; times of the server end in _at
    changed   text collate "C" not null default '',
    result    text not null default '',
    proven    boolean not null default false,
    causes    text[] not null default '{}',
    steps     text[] not null default '{}',    -- steps carried out, each once
    stored_at timestamptz not null default clock_timestamp()
);
create index by_change on diag.jobs (changed desc, id);
create index by_status on diag.jobs (status, changed desc, id);

create table diag.entries (
    job       bigint not null references diag.jobs,
    place     integer not null check (place > 0),   -- 1 for the first of the file
    number    integer not null,                     -- the entry's own number
    kind      text not null,
    at        text not null,
    who       text not null,
    body      text not null,                        -- the piece of the case file
    token     uuid not null,                        -- the hold it was written under, so that it is never taken twice
    login     name not null default session_user,
    stored_at timestamptz not null default clock_timestamp(),
    primary key (job, place)
);

create function diag.never() returns trigger language plpgsql as $$
begin
    raise exception 'entries are only ever added' using errcode = 'restrict_violation';
end $$;
create trigger only_added before update or delete on diag.entries for each row execute function diag.never();
create trigger never_emptied before truncate on diag.entries for each statement execute function diag.never();

create table diag.claims (
    job     bigint primary key references diag.jobs,
    token   uuid not null,
    who     text not null,
    machine text not null default '',
    login   name not null default session_user,
    since   timestamptz not null default clock_timestamp(),
    until   timestamptz not null                    -- by this server's clock; renewed while the program lives
) with (fillfactor = 50);

create table diag.as_found (
    job    bigint not null references diag.jobs,
    number integer not null,
    data   bytea not null,
    primary key (job, number)
);
