//! A receipt from a service, checked on another machine with files only.

use std::path::PathBuf;

use crate::{code, printed, run, said, serve_with};

#[test]
fn a_receipt_is_checked_with_files_only() {
    let folder = std::env::temp_dir().join(format!("kitproof-receipt-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let path = |name: &str| -> PathBuf { folder.join(name) };
    let text = |path: &PathBuf| path.to_str().unwrap().to_owned();
    let (secret, request, other) = (path("secret.json"), path("cart.json"), path("other.json"));
    let made = run(&["receipt", "key", &text(&secret)], "");
    assert_eq!(code(&made), 0, "{}", said(&made));
    let cart = |count: u32| {
        format!(
            r#"{{"board": "tarn", "receipt": true, "kit": [{{"module": "ERW-3R32-4x4", "quantity": {count}}}]}}"#
        )
    };
    std::fs::write(&request, cart(24)).unwrap();
    std::fs::write(&other, cart(16)).unwrap();
    let service = serve_with(&["--receipt-keys", &text(&secret)]);
    let answer = run(
        &["check", "--server", &service.address, &text(&request)],
        "",
    );
    assert_eq!(code(&answer), 1, "{}", said(&answer));

    // What is published is the secret file without its secret parts.
    let keys = path("published.json");
    let mut set: serde_json::Value =
        serde_json::from_slice(&std::fs::read(&secret).unwrap()).unwrap();
    let kid = printed(&made).trim().to_owned();
    let key = set["keys"][0].as_object_mut().unwrap();
    key.remove("d");
    key.insert("kid".to_owned(), kid.into());
    std::fs::write(&keys, set.to_string()).unwrap();
    drop(service);

    let check = |request: &PathBuf, receipt: &str| {
        let keys = text(&keys);
        let request = text(request);
        run(
            &[
                "receipt",
                "check",
                "-",
                "--request",
                &request,
                "--keys",
                &keys,
            ],
            receipt,
        )
    };
    let good = check(&request, &printed(&answer));
    assert_eq!(
        code(&good),
        1,
        "good, but the kit was refused: {}",
        said(&good)
    );
    assert!(printed(&good).contains("\"verdict\": \"does_not_fit\""));
    let wrong = check(&other, &printed(&answer));
    assert_eq!(code(&wrong), 2);
    assert!(said(&wrong).contains("another request"), "{}", said(&wrong));
    assert_eq!(code(&check(&request, "a.b.c")), 2);
    std::fs::remove_dir_all(&folder).unwrap();
}
