//! Before the first run: heat from two typed numbers, and thunder that a reload does not forget.

use anyhow::Result;
use lanewright_e2e::{PHONE, marked};

use crate::coach::Coach;

#[tokio::test]
async fn heat_and_thunder_are_answered_on_the_device_and_outlive_a_reload() -> Result<()> {
    let coach = Coach::with_demo(PHONE).await?;
    coach.device.go("today").await?;
    let tab = &coach.device.tab;
    let open = format!("{} > summary", marked("conditions"));
    tab.click(&open).await?;
    tab.wait_for(&marked("checklist")).await?;

    tab.fill(&marked("heat-air"), "36").await?;
    tab.fill(&marked("heat-humidity"), "70").await?;
    tab.wait_for_text("do not run").await?;
    tab.fill(&marked("heat-air"), "18").await?;
    tab.wait_for_text("as planned").await?;
    tab.fill(&marked("heat-humidity"), "170").await?;
    tab.wait_for_text("170 cannot be").await?;

    tab.wait_for_text("No thunder in the last half hour").await?;
    tab.click(&marked("thunder")).await?;
    tab.wait_for_text("Everybody inside").await?;
    tab.reload().await?;
    coach.device.go("today").await?;
    tab.click(&open).await?;
    tab.wait_for_text("Everybody inside").await?;
    tab.click(&marked("no-thunder")).await?;
    tab.wait_for_text("No thunder in the last half hour").await?;
    coach.done().await
}
