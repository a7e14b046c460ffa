-- Who may do what, and which shop's jobs a person sees. The roles are the server's own and hold no password.

alter table diag.jobs add column shop text not null default 'main';

create table diag.people (
    login name not null,
    shop  text not null check (shop ~ '^[[:alnum:]][[:alnum:] -]{0,59}$'),
    home  boolean not null default true,       -- new jobs of this person belong to this shop
    primary key (login, shop)
);
create unique index one_home on diag.people (login) where home;

do $$
declare
    role text;
begin
    foreach role in array array['diag_read', 'diag_work', 'diag_approve'] loop
        begin
            if not exists (select from pg_roles where rolname = role) then
                execute format('create role %I nologin', role);
            end if;
        exception when duplicate_object or unique_violation then
            null;                              -- another database of this server made it in the same moment
        end;
    end loop;
end $$;

create function diag.my_shops() returns setof text
    language sql stable security definer set search_path = diag, pg_temp
    as $$ select shop from diag.people where login = session_user $$;
create function diag.my_home() returns text
    language sql stable security definer set search_path = diag, pg_temp
    as $$ select coalesce((select shop from diag.people where login = session_user and home), 'main') $$;
alter table diag.jobs alter column shop set default diag.my_home();

alter table diag.jobs enable row level security;
alter table diag.entries enable row level security;
alter table diag.claims enable row level security;
alter table diag.as_found enable row level security;
alter table diag.digests enable row level security;
alter table diag.people enable row level security;

create policy own_shops on diag.jobs using (shop = any (array(select diag.my_shops())));
create policy of_jobs on diag.entries using (exists (select from diag.jobs j where j.job = entries.job));
create policy of_jobs on diag.claims using (exists (select from diag.jobs j where j.job = claims.job));
create policy of_jobs on diag.as_found using (exists (select from diag.jobs j where j.job = as_found.job));
create policy of_jobs on diag.digests using (exists (select from diag.jobs j where j.job = digests.job));
create policy oneself on diag.people for select using (login = session_user);

grant usage on schema diag to diag_read, diag_work, diag_approve;
grant select on all tables in schema diag to diag_read, diag_work, diag_approve;
grant insert on diag.jobs, diag.entries, diag.claims, diag.as_found, diag.digests to diag_work, diag_approve;
grant update on diag.jobs, diag.claims, diag.digests to diag_work, diag_approve;
grant delete on diag.claims to diag_work, diag_approve;
