use super::*;
use ophryon_agreement::{Kind, Said, Signature, pack, text_for};
use ophryon_record::{ConsentEdit, Edit, Record, apply};

const CODE: Code = Code(48_291);
const KEY: Token = Hex::from_bytes([1; 16]);
const TICKET: Token = Hex::from_bytes([2; 16]);
const PHOTO: [u8; 6] = [0xff, 0xd8, 0xff, 0xe0, 0, 16];

fn at(seconds: u64) -> Duration {
    Duration::from_secs(seconds)
}

/// An invitation, and her answer to it.
fn travelled(nonce: u8) -> (String, String) {
    let (_, packet, answer) = sent(nonce);
    (packet, answer)
}

/// The same with the file that it was sent of.
fn sent(nonce: u8) -> (Record, String, String) {
    let client = include_str!("../../../../../demo-data/demo-even/client.json");
    let record = Record::from_json(client).unwrap();
    let record = apply(&record, &Edit::Propose).unwrap();
    let ask = ConsentEdit::Ask(Box::new(text_for("en").unwrap().asked()));
    let record = apply(&record, &Edit::Consent(ask)).unwrap();
    let when: ophryon_agreement::When = "2025-03-14T15:09:26+01:00".parse().unwrap();
    let (edit, packet) = record
        .invite(Hex::from_bytes([nonce; 16]), when.clone())
        .unwrap();
    let there = Invitation::read(&packet).unwrap();
    let mut asked = there.asked().unwrap();
    for statement in &mut asked.statements {
        statement.said = match statement.kind {
            Kind::Needed => Said::Yes,
            Kind::Choice => Said::No,
        };
    }
    let name = "Ilvane".to_owned();
    let answer = there
        .answer(&asked, Signature::Typed { name }, when)
        .unwrap();
    let record = apply(&record, &Edit::Consent(edit)).unwrap();
    (record, packet, answer)
}

fn offered() -> (Tray, String) {
    let (packet, answer) = travelled(9);
    let mut tray = Tray::default();
    tray.offer(at(0), &packet, (KEY, CODE)).unwrap();
    (tray, answer)
}

#[test]
fn a_shape_goes_out_once_and_one_answer_comes_back() {
    let (mut tray, answer) = offered();
    let packet = travelled(9).0;
    tray.add_picture(at(1), KEY, &PHOTO).unwrap();
    let waiting = Stage::Waiting {
        seconds: 598,
        wrong: 0,
    };
    assert_eq!(tray.look(at(2), KEY), waiting);
    let given = tray.come(at(2), " 048-291 ", TICKET).unwrap();
    assert_eq!(
        (given.ticket, given.packet, given.picture),
        (TICKET, packet, true)
    );
    // Loaded anew, it is the same; the picture goes once.
    assert!(tray.again(at(3), TICKET).unwrap().picture);
    assert_eq!(tray.take_picture(at(3), TICKET).unwrap(), PHOTO);
    assert_eq!(tray.take_picture(at(3), TICKET), Err(Refusal::Nothing));
    assert_eq!(tray.look(at(4), KEY), Stage::Taken { seconds: 3598 });
    assert_eq!(tray.answer_of(at(4), KEY), Err(Refusal::Nothing));
    tray.bring(at(5), TICKET, &answer).unwrap();
    assert_eq!(tray.look(at(5), KEY), Stage::Answered);
    // The page may ask twice, should the first answer be lost on the way.
    assert_eq!(tray.answer_of(at(5), KEY).unwrap(), answer);
    assert_eq!(tray.answer_of(at(6), KEY).unwrap(), answer);
    assert_eq!(tray.bring(at(6), TICKET, &answer), Err(Refusal::Twice));
    tray.end(at(7), KEY);
    assert_eq!(tray.look(at(7), KEY), Stage::Gone);
    assert_eq!(tray.again(at(7), TICKET), Err(Refusal::Nothing));
    assert!(tray.offer.is_none());
}

#[test]
fn a_code_counts_once() {
    let (mut tray, answer) = offered();
    tray.come(at(1), "048291", TICKET).unwrap();
    let other = Hex::from_bytes([3; 16]);
    assert_eq!(tray.come(at(2), "048291", other), Err(Refusal::Used));
    assert_eq!(tray.again(at(2), other), Err(Refusal::Nothing));
    assert_eq!(tray.bring(at(2), other, &answer), Err(Refusal::Nothing));
    assert!(tray.bring(at(3), TICKET, &answer).is_ok());
}

#[test]
fn wrong_codes_wait_longer_each_time_and_the_fifth_closes_the_offer() {
    let (mut tray, answer) = offered();
    tray.add_picture(at(0), KEY, &PHOTO).unwrap();
    let wrong = ["", "000000", "48291", "0482911", "０48291"];
    let mut now = at(10);
    let mut pauses = Vec::new();
    for (n, typed) in wrong.into_iter().enumerate() {
        match tray.come(now, typed, TICKET) {
            Err(Refusal::WrongCode { left, pause }) => {
                assert_eq!(left as usize, MOST_TRIES as usize - 1 - n);
                // Too soon, even the right one isn't looked at, and costs no try.
                let soon = now + at(pause) - Duration::from_millis(1);
                let told = tray.come(soon, "048291", TICKET);
                assert_eq!(told, Err(Refusal::Pause { pause: 1 }));
                now += at(pause);
                pauses.push(pause);
            }
            told => assert_eq!((n, told), (4, Err(Refusal::Closed))),
        }
    }
    assert_eq!(pauses, [2, 4, 8, 16]);
    assert_eq!(
        tray.come(now + at(60), "048291", TICKET),
        Err(Refusal::Closed)
    );
    assert_eq!(tray.bring(now, TICKET, &answer), Err(Refusal::Nothing));
    assert_eq!(tray.look(now, KEY), Stage::Closed);
    assert!(tray.offer.is_some_and(|o| o.picture.is_none()));
}

#[test]
fn after_its_time_nothing_is_left_in_memory() {
    let (mut tray, _) = offered();
    tray.add_picture(at(0), KEY, &PHOTO).unwrap();
    assert_eq!(
        tray.come(CODE_LIFE, "048291", TICKET),
        Err(Refusal::Nothing)
    );
    assert!(tray.offer.is_none());

    // Once it was used, the time to read counts anew, and the answer waits
    // no longer than that.
    let (mut tray, answer) = offered();
    let late = CODE_LIFE - at(1);
    tray.come(late, "048291", TICKET).unwrap();
    tray.bring(late + at(60), TICKET, &answer).unwrap();
    let over = late + ANSWER_LIFE;
    assert_eq!(tray.look(over - at(1), KEY), Stage::Answered);
    tray.sweep(over);
    assert!(tray.offer.is_none());
}

#[test]
fn only_sound_packets_of_the_right_kind_are_laid_down() {
    let (packet, answer) = travelled(9);
    let mut tray = Tray::default();
    for other in ["", "hello", &answer, &packet[1..], &packet.repeat(60)] {
        let told = tray.offer(at(0), other, (KEY, CODE));
        assert_eq!(told, Err(Refusal::NoInvitation));
    }
    tray.offer(at(0), &packet, (KEY, CODE)).unwrap();
    assert_eq!(tray.come(at(1), "048291", TICKET).map(|_| ()), Ok(()));
    for other in ["", "hello", &packet, &answer[1..], &answer.repeat(60)] {
        assert_eq!(tray.bring(at(2), TICKET, other), Err(Refusal::NoAnswer));
    }
    let foreign = travelled(8).1;
    assert_eq!(
        tray.bring(at(2), TICKET, &foreign),
        Err(Refusal::OtherAnswer)
    );
    assert!(tray.bring(at(2), TICKET, &answer).is_ok());
    // A new offer that can't be made leaves the one that lies there.
    assert!(tray.offer(at(3), "hello", (KEY, CODE)).is_err());
    assert_eq!(tray.answer_of(at(3), KEY).unwrap(), answer);
}

#[test]
fn whoever_brings_too_many_wrong_answers_is_not_listened_to() {
    let (mut tray, answer) = offered();
    tray.come(at(1), "048291", TICKET).unwrap();
    for _ in 0..MOST_ANSWERS {
        assert_eq!(tray.bring(at(2), TICKET, "hello"), Err(Refusal::NoAnswer));
    }
    assert_eq!(tray.bring(at(2), TICKET, &answer), Err(Refusal::Closed));
}

#[test]
fn a_picture_is_a_small_jpeg_and_lies_beside_an_offer() {
    let (mut tray, _) = offered();
    let mut large = vec![0; LARGEST_PICTURE + 1];
    large[..3].copy_from_slice(&JPEG);
    for other in [&b""[..], b"<svg/>", b"\x89PNG", &large] {
        assert_eq!(tray.add_picture(at(1), KEY, other), Err(Refusal::NoPicture));
    }
    assert_eq!(
        tray.add_picture(at(1), TICKET, &PHOTO),
        Err(Refusal::Nothing)
    );
    large.pop();
    assert!(tray.add_picture(at(1), KEY, &large).is_ok());
}

#[test]
fn another_pages_key_tells_nothing_and_ends_nothing() {
    let (mut tray, _) = offered();
    assert_eq!(tray.look(at(1), TICKET), Stage::Gone);
    tray.end(at(1), TICKET);
    assert!(matches!(tray.look(at(1), KEY), Stage::Waiting { .. }));
}

#[test]
fn many_calls_at_once_are_put_off_and_a_quiet_moment_clears_them() {
    let mut tray = Tray::default();
    let calls = |tray: &mut Tray, now| (0..100).filter(|_| tray.call(now).is_ok()).count();
    assert_eq!(calls(&mut tray, at(100)), MOST_CALLS as usize);
    assert_eq!(calls(&mut tray, at(105)), 0);
    assert_eq!(calls(&mut tray, at(110)), MOST_CALLS as usize);
}

/// Numbers by chance, the same ones each time (Marsaglia: Xorshift RNGs,
/// Journal of Statistical Software 8(14), 2003; from memory).
struct Chance(u64);

impl Chance {
    fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % most as u64) as usize
    }
}

/// Cut, lengthened, one letter changed, or doubled.
fn mishap(text: &str, chance: &mut Chance) -> String {
    let at = chance.below(text.len());
    let letter = ["A", "z", "7", "-", ".", "é"][chance.below(6)];
    match chance.below(5) {
        0 => text[..at].to_owned(),
        1 => text[at + 1..].to_owned(),
        2 => format!("{}{letter}{}", &text[..at], &text[at..]),
        3 => format!("{}{letter}{}", &text[..at], &text[at + 1..]),
        _ => text.repeat(2 + chance.below(80)),
    }
}

/// The same answer with something else in it and a check that fits: made by
/// somebody who knows how.
fn forged(answer: &str, chance: &mut Chance) -> String {
    use serde_json::Value;
    let mut value: Value = unpack(PacketKind::Answer, answer).unwrap();
    let field = ["nonce", "seal", "said", "cautions", "signature", "at"][chance.below(6)];
    let other = match value[field].take() {
        Value::Array(mut list) => {
            let n = chance.below(list.len());
            let now = list[n].as_str().unwrap_or_default().to_owned();
            list[n] = if now == "yes" { "no" } else { "yes" }.into();
            if field == "cautions" {
                list[n] = if now == "not-me" {
                    "doctor-first"
                } else {
                    "not-me"
                }
                .into();
            }
            Value::Array(list)
        }
        Value::Object(mut signature) => {
            signature["name"] = format!("Ilvane {}", chance.below(1_000)).into();
            Value::Object(signature)
        }
        Value::String(text) if field == "at" => text.replacen("2025", "2024", 1).into(),
        Value::String(text) => {
            let at = chance.below(text.len());
            let digit = if &text[at..=at] == "0" { "1" } else { "0" };
            format!("{}{digit}{}", &text[..at], &text[at + 1..]).into()
        }
        other => other,
    };
    value[field] = other;
    pack(PacketKind::Answer, &value).unwrap()
}

/// At the door, or where her file is: nothing that was changed on its way is
/// taken, and each refusal is a sentence.
#[test]
fn hundreds_of_changed_answers_are_refused_at_the_door_or_at_the_file() {
    let (record, packet, answer) = sent(9);
    let chance = &mut Chance(0x9e37_79b9_7f4a_7c15);
    let (mut at_the_door, mut at_the_file) = (0, 0);
    for n in 0..900 {
        let other = if n % 3 == 0 {
            forged(&answer, chance)
        } else {
            mishap(&answer, chance)
        };
        if other == answer {
            continue;
        }
        let mut tray = Tray::default();
        tray.offer(at(0), &packet, (KEY, CODE)).unwrap();
        tray.come(at(1), "048291", TICKET).unwrap();
        match tray.bring(at(2), TICKET, &other) {
            Err(why) => {
                assert!(why.to_string().contains("nothing was taken"), "{why}");
                assert_eq!(tray.look(at(2), KEY), Stage::Taken { seconds: 3599 });
                at_the_door += 1;
            }
            Ok(()) => {
                let back = tray.answer_of(at(3), KEY).unwrap();
                let why = record.take_answer(back).expect_err("it was changed");
                assert!(!why.to_string().is_empty());
                at_the_file += 1;
            }
        }
    }
    println!(
        "of 900 changed answers {at_the_door} were refused at the door, {at_the_file} at the file"
    );
    assert!(at_the_door > 600 && at_the_file > 150);
    assert!(
        record.take_answer(&answer).is_ok(),
        "nothing was changed by all that"
    );
}
