//! x
fn main() {
    let dir = std::env::args().nth(1).unwrap();
    let r = swardbook_app::demo::make_demo(std::path::Path::new(&dir), &mut |s| {
        println!("\n{}  {}", s.day, s.title);
        for l in &s.lines {
            println!("  {l}");
        }
    });
    println!("{r:?}");
}
