-- How often causes come, learnt from closed jobs: proposed, reviewed and approved by the team, every version kept.

create table diag.frequencies (
    version     integer generated always as identity primary key,
    overlay     text not null,                 -- the overlay file
    proposed_by text not null,
    login       name not null default session_user,
    proposed_at timestamptz not null default clock_timestamp()
);
create table diag.decisions (
    decision   integer generated always as identity primary key,
    version    integer references diag.frequencies,   -- null: the rule book alone
    decided_by text not null,
    login      name not null default session_user,
    decided_at timestamptz not null default clock_timestamp(),
    why        text not null default ''
);
create trigger only_added before update or delete on diag.frequencies for each row execute function diag.never();
create trigger only_added before update or delete on diag.decisions for each row execute function diag.never();

grant select on diag.frequencies, diag.decisions to diag_read, diag_work, diag_approve;
grant insert on diag.frequencies to diag_work, diag_approve;
grant insert on diag.decisions to diag_approve;
