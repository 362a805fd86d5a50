use std::time::Instant;
use ohmwright::{brief, examine::{answer_shared, Sharing}, share::values::Effort};
fn main() {
    let boards: Vec<_> = std::env::args().skip(1).map(|p| brief::read_file(std::path::Path::new(&p)).unwrap()).collect();
    let t=Instant::now();
    let a=answer_shared(&boards, "design", None, Sharing{most_loss:0.05, effort: Effort{nodes:2000, until:None}, batch:1});
    println!("{:.0} ms", t.elapsed().as_secs_f64()*1e3);
    let s=a.share.unwrap();
    for r in &s.trade { println!("{r:?}"); }
    println!("alone {} shared {} least {} {} lossproof {}", s.alone, s.different_values, s.least_possible, s.proof, s.is_least_loss_proven);
    for v in &s.values { println!("{} x{} {:?}", v.ohm, v.count, v.used_by); }
    for (n,i) in &s.inputs.0 { println!("{n} {:.3}", i.loss); }
}
