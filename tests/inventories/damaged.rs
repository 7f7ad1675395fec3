//! temp
use kitproof::read::inventory::*;
#[test]
fn show() {
    for dir in ["dmidecode","lshw"] {
    for e in std::fs::read_dir(format!("../shared/vectors/inventory/{dir}")).unwrap() {
        let p = e.unwrap().path();
        let inv = read(&std::fs::read(&p).unwrap(), &SlotMap::default());
        let mut counts = std::collections::BTreeMap::new();
        for n in &inv.notes { *counts.entry(format!("{}{}", n.code.code(), if n.slot.is_none() { format!(" {:?}", n.params)} else {String::new()})).or_insert(0)+=1; }
        println!("{} placed={}", p.display(), inv.placing==Placing::Told);
        for (k,v) in counts { println!("    {v} {k}"); }
    }}
}
