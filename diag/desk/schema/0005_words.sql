-- The words that occur in a shop's jobs, so that a mistyped one finds its neighbours among some thousand words and not
-- among all texts. Only ever grows; words that no job has any more find nothing and do no harm.

create table diag.words (
    shop text not null,
    word text not null,
    primary key (shop, word)
);
create index words_alike on diag.words using gin (word diag.gin_trgm_ops);

create function diag.words_of(p_text text) returns setof text language sql immutable as $$
    select w from unnest(tsvector_to_array(to_tsvector('simple', p_text))) w where w ~ '^[[:alpha:]]{4,30}$'
$$;
insert into diag.words (shop, word)
    select distinct j.shop, w from diag.digests d join diag.jobs j using (job), diag.words_of(d.text) w;

alter table diag.words enable row level security;
create policy own_shops on diag.words using (shop = any (array(select diag.my_shops())));
grant select on diag.words to diag_read, diag_work, diag_approve;
grant insert on diag.words to diag_work, diag_approve;
