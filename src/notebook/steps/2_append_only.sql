CREATE TRIGGER entry_keeps_its_text BEFORE UPDATE ON entry BEGIN
    SELECT RAISE(ABORT, 'a notebook entry is never changed; undo it by a further entry');
END;
CREATE TRIGGER entry_stays BEFORE DELETE ON entry BEGIN
    SELECT RAISE(ABORT, 'a notebook entry is never removed; undo it by a further entry');
END;
-- REPLACE removes the old row without asking the trigger above.
CREATE TRIGGER entry_is_not_replaced BEFORE INSERT ON entry
WHEN EXISTS (SELECT 1 FROM entry WHERE seq = NEW.seq) BEGIN
    SELECT RAISE(ABORT, 'a notebook entry is never replaced; undo it by a further entry');
END;
