//! How often a caller may ask, and what its answers say about that.
//!
//! A bucket is one number: the moment at which it will be full again. A request moves that moment on
//! by its share of the time; one that would move it further than the whole time ahead is refused.
//! (Known as the generic cell rate algorithm, ITU-T I.371; common practice.) Buckets of addresses are
//! kept in a list of bounded length.
//!
//! Header fields: IETF draft `ratelimit-headers` (still a draft), RFC 9110 `Retry-After`.

use std::collections::HashMap;
use std::net::{IpAddr, Ipv6Addr};
use std::num::NonZeroU32;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::time::Instant;

use actix_web::http::header::{self, HeaderMap, HeaderName, HeaderValue};

const SECOND: u64 = 1_000_000_000;

/// So many requests in so much time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Quota {
    /// How many.
    pub requests: NonZeroU32,
    /// In so many seconds.
    pub seconds: NonZeroU32,
}

impl Quota {
    /// So many in each minute; nothing for none.
    pub fn per_minute(requests: u32) -> Option<Self> {
        Some(Self {
            requests: NonZeroU32::new(requests)?,
            seconds: NonZeroU32::MIN.saturating_add(59),
        })
    }

    /// Nanoseconds of the whole time.
    fn window(self) -> u64 {
        u64::from(self.seconds.get()) * SECOND
    }

    /// Nanoseconds that one request takes of it.
    fn share(self) -> u64 {
        (self.window() / u64::from(self.requests.get())).max(1)
    }
}

/// What is left for one caller. Begins full.
#[derive(Debug, Default)]
pub struct Bucket {
    /// Nanoseconds since the start of the process at which it is full again.
    full_at: AtomicU64,
}

/// How a caller stands after a request.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Left {
    /// What holds for it.
    pub quota: Quota,
    /// Requests that it may make at once.
    pub requests: u64,
    /// Seconds until all of them are back.
    pub full_after: u64,
    /// Seconds to wait, for a request that is refused.
    pub wait: Option<u64>,
}

impl Bucket {
    /// Takes one request out.
    pub fn take(&self, quota: Quota) -> Left {
        self.take_at(quota, now())
    }

    fn take_at(&self, quota: Quota, now: u64) -> Left {
        let (window, share) = (quota.window(), quota.share());
        let mut wait = None;
        let moved = self
            .full_at
            .fetch_update(Ordering::Relaxed, Ordering::Relaxed, |full_at| {
                let next = full_at.max(now) + share;
                let over = next.saturating_sub(now + window);
                wait = (over > 0).then(|| over.div_ceil(SECOND).max(1));
                (over == 0).then_some(next)
            });
        let full_at = moved.map_or_else(|full_at| full_at, |before| before.max(now) + share);
        let used = full_at.saturating_sub(now);
        Left {
            quota,
            requests: window.saturating_sub(used) / share,
            full_after: used.div_ceil(SECOND),
            wait,
        }
    }

    fn is_full(&self, now: u64) -> bool {
        self.full_at.load(Ordering::Relaxed) <= now
    }
}

/// Nanoseconds since the first call.
fn now() -> u64 {
    static START: OnceLock<Instant> = OnceLock::new();
    let passed = START.get_or_init(Instant::now).elapsed().as_nanos();
    u64::try_from(passed).unwrap_or(u64::MAX)
}

/// The most addresses that are told apart. Further ones share one bucket.
const MOST_ADDRESSES: usize = 50_000;

/// The buckets of addresses.
#[derive(Debug, Default)]
pub struct Addresses {
    known: Mutex<HashMap<IpAddr, Arc<Bucket>>>,
    others: Arc<Bucket>,
}

impl Addresses {
    /// The bucket of an address. Addresses of one IPv6 network of 64 bits are one caller.
    pub fn bucket(&self, address: IpAddr) -> Arc<Bucket> {
        let caller = network(address);
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(bucket) = known.get(&caller) {
            return Arc::clone(bucket);
        }
        if known.len() >= MOST_ADDRESSES {
            let now = now();
            known.retain(|_, bucket| !bucket.is_full(now));
        }
        if known.len() >= MOST_ADDRESSES {
            return Arc::clone(&self.others);
        }
        Arc::clone(known.entry(caller).or_default())
    }
}

fn network(address: IpAddr) -> IpAddr {
    match address.to_canonical() {
        IpAddr::V6(v6) => {
            let [a, b, c, d, ..] = v6.segments();
            IpAddr::V6(Ipv6Addr::new(a, b, c, d, 0, 0, 0, 0))
        }
        v4 => v4,
    }
}

const POLICY: HeaderName = HeaderName::from_static("ratelimit-policy");
const LEFT: HeaderName = HeaderName::from_static("ratelimit");

impl Left {
    /// Tells it in the headers of an answer. `policy` names what is counted.
    pub fn tell(&self, policy: &str, headers: &mut HeaderMap) {
        let Quota { requests, seconds } = self.quota;
        let mut add = |name: HeaderName, text: String| {
            if let Ok(value) = HeaderValue::from_str(&text) {
                headers.insert(name, value);
            }
        };
        add(POLICY, format!("\"{policy}\";q={requests};w={seconds}"));
        let Self {
            requests: left,
            full_after,
            ..
        } = self;
        add(LEFT, format!("\"{policy}\";r={left};t={full_after}"));
        if let Some(wait) = self.wait {
            add(header::RETRY_AFTER, wait.to_string());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quota(requests: u32, seconds: u32) -> Quota {
        Quota {
            requests: NonZeroU32::new(requests).unwrap(),
            seconds: NonZeroU32::new(seconds).unwrap(),
        }
    }

    #[test]
    fn a_burst_of_the_whole_quota_passes_and_one_more_waits() {
        let (bucket, quota) = (Bucket::default(), quota(5, 10));
        for left in (0..5).rev() {
            let stands = bucket.take_at(quota, 0);
            assert_eq!((stands.requests, stands.wait), (left, None));
        }
        let refused = bucket.take_at(quota, 0);
        assert_eq!(
            (refused.requests, refused.wait, refused.full_after),
            (0, Some(2), 10)
        );
        // A refusal takes nothing, so the wait does not grow.
        assert_eq!(bucket.take_at(quota, SECOND).wait, Some(1));
        assert_eq!(bucket.take_at(quota, 2 * SECOND).wait, None);
        assert_eq!(bucket.take_at(quota, 2 * SECOND).wait, Some(2));
    }

    #[test]
    fn over_a_long_time_no_more_pass_than_the_quota_says() {
        let (bucket, quota) = (Bucket::default(), quota(7, 3));
        let passed = (0..3_000)
            .filter(|step| bucket.take_at(quota, step * SECOND / 100).wait.is_none())
            .count();
        // 30 seconds: the first burst, and 7 for each 3 seconds.
        assert!((70..=77).contains(&passed), "{passed}");
    }

    #[test]
    fn the_wait_is_never_longer_than_the_time_to_be_full() {
        let (bucket, quota) = (Bucket::default(), quota(3, 60));
        for step in 0..100 {
            let left = bucket.take_at(quota, step * SECOND / 3);
            assert!(left.wait.unwrap_or(0) <= left.full_after.max(1), "{left:?}");
        }
    }

    #[test]
    fn neighbours_of_one_network_are_one_caller() {
        let addresses = Addresses::default();
        let bucket = |text: &str| addresses.bucket(text.parse().unwrap());
        assert!(Arc::ptr_eq(&bucket("2001:db8::1"), &bucket("2001:db8::2")));
        assert!(!Arc::ptr_eq(
            &bucket("2001:db8::1"),
            &bucket("2001:db8:0:1::1")
        ));
        assert!(Arc::ptr_eq(
            &bucket("192.0.2.1"),
            &bucket("::ffff:192.0.2.1")
        ));
        assert!(!Arc::ptr_eq(&bucket("192.0.2.1"), &bucket("192.0.2.2")));
    }

    #[test]
    fn the_list_of_addresses_does_not_grow_for_ever() {
        let addresses = Addresses::default();
        let busy = quota(1, 3600);
        for n in 0..u32::try_from(MOST_ADDRESSES).unwrap() + 100 {
            addresses.bucket(IpAddr::V4(n.into())).take(busy);
        }
        assert_eq!(addresses.known.lock().unwrap().len(), MOST_ADDRESSES);
    }

    #[test]
    fn headers_are_structured_fields() {
        let mut headers = HeaderMap::new();
        let left = Left {
            quota: quota(600, 60),
            requests: 599,
            full_after: 1,
            wait: Some(3),
        };
        left.tell("key", &mut headers);
        assert_eq!(
            headers.get("ratelimit-policy").unwrap(),
            "\"key\";q=600;w=60"
        );
        assert_eq!(headers.get("ratelimit").unwrap(), "\"key\";r=599;t=1");
        assert_eq!(headers.get("retry-after").unwrap(), "3");
    }
}
