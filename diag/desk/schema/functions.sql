-- What programs call: each function is one step that happens whole or not at all. Made anew with every change of the
-- schema. All of them run with the caller's own rights. Times are this server's.

-- A sign to everybody who watches the board. Only a number: names of jobs speak of customers.
create or replace function diag.tell(p_job bigint) returns void language sql as $$
    select pg_notify('diag_board', p_job::text)
$$;

create or replace function diag.put_digest(p_job bigint, d jsonb, p_settled boolean) returns void language sql as $$
    insert into diag.digests (job, settled, text, car, sketch)
    values (p_job, p_settled, d ->> 'text', d ->> 'car', d -> 'sketch')
    on conflict (job) do update
        set settled = excluded.settled, text = excluded.text, car = excluded.car, sketch = excluded.sketch
$$;

-- Words of a job that its shop's jobs did not have so far; in order, so that two programs never wait for each other.
create or replace function diag.note_words(p_job bigint) returns void language sql as $$
    insert into diag.words (shop, word)
    select distinct j.shop, w from diag.digests d join diag.jobs j using (job), diag.words_of(d.text) w
    where d.job = p_job and not exists (select from diag.words o where o.shop = j.shop and o.word = w)
    order by 1, 2 on conflict do nothing
$$;

create or replace function diag.texts(a jsonb) returns text[] language sql immutable as $$
    select array(select jsonb_array_elements_text(a))
$$;

create or replace function diag.add_entries(p_job bigint, p_base integer, p_token uuid, items jsonb, p_done bigint)
    returns void language sql as $$
    insert into diag.entries (job, place, number, kind, at, who, body, token)
    select p_job, p_base + i.place, (e ->> 'number')::integer, e ->> 'kind', e ->> 'at', e ->> 'who', e ->> 'body',
           p_token
    from jsonb_array_elements(items) with ordinality as i(e, place) where i.place > p_done
$$;

-- A new job, held by whoever makes it. Asked twice with one token it answers the same.
create or replace function diag.begin_job(p_id text, p_head text, items jsonb, d jsonb, p_token uuid, p_who text,
    p_machine text, p_ttl double precision) returns bigint language plpgsql as $$
declare
    made bigint;
begin
    select j.job into made from diag.jobs j where j.id = p_id and j.made = p_token;
    if made is not null then
        return made;
    end if;
    insert into diag.jobs (id, made, head, entries, title, status, opened, changed, result, proven, causes, steps, waits)
    values (p_id, p_token, p_head, jsonb_array_length(items), d ->> 'title', d ->> 'status', d ->> 'opened', d ->> 'changed',
            d ->> 'result', (d ->> 'proven')::boolean, diag.texts(d -> 'causes'), diag.texts(d -> 'steps'), d ->> 'waits')
    returning job into made;
    perform diag.add_entries(made, 0, p_token, items, 0);
    perform diag.put_digest(made, d, false);
    insert into diag.claims (job, token, who, machine, until)
    values (made, p_token, p_who, p_machine, clock_timestamp() + make_interval(secs => p_ttl));
    perform diag.tell(made);
    return made;
end $$;

-- A job carried here from elsewhere, byte for byte; nobody holds it.
create or replace function diag.bring_in(p_id text, p_head text, items jsonb, d jsonb, p_found bytea, p_problem text,
    asides bytea[]) returns bigint language plpgsql as $$
declare
    token uuid := gen_random_uuid();
    made bigint;
begin
    insert into diag.jobs (id, made, head, entries, found, problem, title, status, opened, changed, result, proven,
        causes, steps, waits)
    values (p_id, token, p_head, jsonb_array_length(items), p_found, p_problem, d ->> 'title', d ->> 'status',
            d ->> 'opened', d ->> 'changed', d ->> 'result', (d ->> 'proven')::boolean, diag.texts(d -> 'causes'),
            diag.texts(d -> 'steps'), d ->> 'waits')
    returning job into made;
    perform diag.add_entries(made, 0, token, items, 0);
    perform diag.put_digest(made, d, true);
    perform diag.note_words(made);
    insert into diag.as_found select made, n, data from unnest(asides) with ordinality as a(data, n);
    return made;
end $$;

-- Take a job to work on. held: somebody living has it and it was not taken from them. gone: there is no such job.
create or replace function diag.take(p_id text, p_token uuid, p_who text, p_machine text, p_ttl double precision,
    p_force boolean, out answer text, out key bigint, out by_whom text, out since_when timestamptz, out lives boolean)
    language plpgsql as $$
declare
    c diag.claims;
begin
    select j.job into key from diag.jobs j where j.id = p_id for update;
    if key is null then
        answer := 'gone';
        return;
    end if;
    select * into c from diag.claims where job = key;
    by_whom := c.who;
    since_when := c.since;
    lives := coalesce(c.until > clock_timestamp(), false);
    if lives and c.token <> p_token and not p_force then
        answer := 'held';
        return;
    end if;
    insert into diag.claims (job, token, who, machine, until)
    values (key, p_token, p_who, p_machine, clock_timestamp() + make_interval(secs => p_ttl))
    on conflict (job) do update set token = excluded.token, who = excluded.who, machine = excluded.machine,
        login = session_user, since = clock_timestamp(), until = excluded.until;
    update diag.digests set settled = false where job = key and settled;
    perform diag.tell(key);
    answer := 'taken';
end $$;

-- Add entries behind the p_base that stand there. What this hold has stored of them already is not stored again: the
-- answer is again when that is all. lost: somebody else has the job now.
create or replace function diag.append(p_job bigint, p_token uuid, p_base integer, p_head text,
    items jsonb, d jsonb, p_aside boolean, p_ttl double precision, p_who text, p_machine text,
    out answer text, out by_whom text) language plpgsql as $$
declare
    j diag.jobs;
    c diag.claims;
    handed text := coalesce(d ->> 'handed', '');
    done bigint;
    taken_up boolean;
begin
    select * into j from diag.jobs where job = p_job for update;
    if j.job is null then
        answer := 'gone';
        return;
    end if;
    select count(*) into done from diag.entries e
        join jsonb_array_elements(items) with ordinality as i(v, n) on e.place = p_base + i.n
        where e.job = p_job and e.place > p_base and e.token = p_token and e.body = i.v ->> 'body';
    if done > 0 and done = jsonb_array_length(items) then
        answer := 'again';
        return;
    end if;
    select * into c from diag.claims where job = p_job;
    if j.entries <> p_base + done or (c.job is not null and c.token <> p_token) then
        answer := 'lost';
        by_whom := coalesce(c.who, (select e.who from diag.entries e where e.job = p_job order by place desc limit 1));
        return;
    end if;
    perform diag.add_entries(p_job, p_base, p_token, items, done);
    taken_up := j.passed_under <> p_token;    -- whoever it was handed to has answered
    if p_aside and j.found is not null then
        insert into diag.as_found select p_job, 1 + coalesce(max(number), 0), j.found from diag.as_found where job = p_job;
    end if;
    update diag.jobs b set head = p_head, entries = p_base + jsonb_array_length(items), problem = '',
        found = case when p_aside then null else b.found end,
        title = d ->> 'title', status = d ->> 'status', opened = d ->> 'opened', changed = d ->> 'changed',
        result = d ->> 'result', proven = (d ->> 'proven')::boolean, causes = diag.texts(d -> 'causes'),
        steps = diag.texts(d -> 'steps'), waits = d ->> 'waits',
        passed_to = case when handed <> '' then handed when taken_up then '' else b.passed_to end,
        passed_by = case when handed <> '' then p_who when taken_up then '' else b.passed_by end,
        passed_at = case when handed <> '' then clock_timestamp() when taken_up then null else b.passed_at end,
        passed_under = case when handed <> '' then p_token when taken_up then null else b.passed_under end
    where b.job = p_job;
    perform diag.put_digest(p_job, d, false);
    insert into diag.claims (job, token, who, machine, until)
    values (p_job, p_token, p_who, p_machine, clock_timestamp() + make_interval(secs => p_ttl))
    on conflict (job) do update set until = excluded.until;
    -- Telling is a lock that all commits share, so that answers which change nothing on the board stay silent.
    if (j.title, j.status, j.waits) is distinct from (d ->> 'title', d ->> 'status', d ->> 'waits') or handed <> '' then
        perform diag.tell(p_job);
    end if;
    answer := 'stored';
end $$;

create or replace function diag.let_go(p_job bigint, p_token uuid) returns boolean language plpgsql as $$
begin
    perform from diag.jobs where job = p_job for update;
    delete from diag.claims where job = p_job and token = p_token;
    if not found then
        return false;
    end if;
    update diag.digests set settled = true where job = p_job and not settled;
    perform diag.note_words(p_job);
    perform diag.tell(p_job);
    return true;
end $$;

-- Still here: renews the holds, and says which of them are still ours.
create or replace function diag.still_here(p_tokens uuid[], p_ttl double precision) returns setof uuid language sql as $$
    update diag.claims set until = clock_timestamp() + make_interval(secs => p_ttl)
    where token = any (p_tokens) returning token
$$;

create or replace view diag.board with (security_invoker = true) as
    select j.job, j.id, j.title, j.shop, j.status, j.opened, j.changed, j.waits, j.passed_to, j.passed_by, j.passed_at,
           c.who, c.machine, c.since, coalesce(c.until > clock_timestamp(), false) as held
    from diag.jobs j left join diag.claims c using (job)
    where j.status <> 'closed' or (c.job is not null and c.until > clock_timestamp());
grant select on diag.board to diag_read, diag_work, diag_approve;
